-- Runs inside Neovim; see neovim.sh. Every wait polls a condition up to a deadline.
local work = vim.env.WORK
local deadline = 60000
local passed, failed, log = 0, 0, {}

local function check(name, ok, detail)
  if ok then
    passed = passed + 1
    table.insert(log, 'ok      ' .. name)
  else
    failed = failed + 1
    table.insert(log, 'FAILED  ' .. name .. (detail and ': ' .. vim.inspect(detail) or ''))
  end
  return ok
end

local function save(name, lines)
  local file = assert(io.open(work .. '/' .. name, 'w'))
  file:write(table.concat(lines, '\n'), '\n')
  file:close()
end

local function wait(condition)
  return vim.wait(deadline, condition, 20)
end

local mistake = '\\frac{x}{n+x} \\ge \\frac{x}{n}'
local mended = '\\frac{x}{n+x} \\le \\frac{x}{n}'
local draft = {
  '**Exercise 1.** Let $f_n(x) = \\frac{x}{n+x}$. Show that $f_n \\to 0$ uniformly on $[0,1]$.',
  '',
  '**Proof.** 😀 Let $ε > 0$ and choose $N > 1/ε$. Then for all $n > N$ and all $x \\in [0,1]$ '
    .. '(our field 𝔽 is ℝ here) we have $|f_n(x)| = '
    .. mistake
    .. ' \\le \\frac1n < ε$.',
}

local function errors(buffer)
  return vim.diagnostic.get(buffer, { severity = vim.diagnostic.severity.ERROR })
end

local function marked(buffer, diagnostic)
  local from, to = diagnostic, diagnostic
  local text = vim.api.nvim_buf_get_text(
    buffer, from.lnum, from.col, to.end_lnum, to.end_col, {})
  return table.concat(text, '\n')
end

local function find(buffer, text)
  for number, line in ipairs(vim.api.nvim_buf_get_lines(buffer, 0, -1, false)) do
    local column = line:find(text, 1, true)
    if column then
      return number - 1, column - 1
    end
  end
  error('not in the buffer: ' .. text)
end

local function replace(buffer, old, new)
  local line, column = find(buffer, old)
  vim.api.nvim_buf_set_text(buffer, line, column, line, column + #old, { new })
end

local function hover_text(buffer)
  local line, column = find(buffer, mistake)
  vim.api.nvim_win_set_cursor(0, { line + 1, column + 2 })
  vim.lsp.buf.hover()
  local shown
  wait(function()
    for _, window in ipairs(vim.api.nvim_list_wins()) do
      if vim.api.nvim_win_get_config(window).relative ~= '' then
        local content = vim.api.nvim_win_get_buf(window)
        shown = table.concat(vim.api.nvim_buf_get_lines(content, 0, -1, false), '\n')
        return true
      end
    end
  end)
  return shown or ''
end

local function find_server()
  local own = tostring(vim.uv.os_getpid())
  local found = vim.fn.systemlist({ 'pgrep', '-P', own, '-f', 'majorant serve' })
  save('server', { found[1] or '' })
  return found
end

local function symbols(buffer)
  local params = { textDocument = vim.lsp.util.make_text_document_params(buffer) }
  local answers = vim.lsp.buf_request_sync(buffer, 'textDocument/documentSymbol', params, deadline)
  local names = {}
  for _, answer in pairs(answers or {}) do
    for _, symbol in ipairs(answer.result or {}) do
      table.insert(names, symbol.name)
    end
  end
  return names
end

local function put_cursor(buffer, text, shift)
  local line, column = find(buffer, text)
  vim.api.nvim_win_set_cursor(0, { line + 1, column + shift })
end

local function names_and_marks(buffer)
  put_cursor(buffer, 'n > N$', 4)
  vim.lsp.buf.definition()
  local chosen, column = find(buffer, '$N > 1/ε$')
  check('a name leads to where it was chosen', wait(function()
    local at = vim.api.nvim_win_get_cursor(0)
    return at[1] == chosen + 1 and at[2] == column + 1
  end), vim.api.nvim_win_get_cursor(0))
  vim.lsp.buf.rename('N_1')
  check('a name is renamed in its places', wait(function()
    local text = vim.api.nvim_buf_get_lines(buffer, chosen, chosen + 1, false)[1]
    return text:find('choose $N_1 > 1/ε$', 1, true) and text:find('$n > N_1$', 1, true)
  end), vim.api.nvim_buf_get_lines(buffer, chosen, chosen + 1, false))
  vim.lsp.inlay_hint.enable(true, { bufnr = buffer })
  check('marks stand behind the claims', wait(function()
    local hints = vim.lsp.inlay_hint.get({ bufnr = buffer })
    return #hints > 0 and hints[1].inlay_hint.label == '✓'
  end), vim.lsp.inlay_hint.get({ bufnr = buffer }))
  vim.lsp.codelens.refresh({ bufnr = buffer })
  check('a tally stands above the exercise', wait(function()
    local lens = vim.lsp.codelens.get(buffer)[1]
    return lens and lens.range.start.line == 0 and lens.command.title:find('claims', 1, true)
  end), vim.lsp.codelens.get(buffer))
  check('formulas are tokens', wait(function()
    local tokens = vim.lsp.semantic_tokens.get_at_pos(buffer, chosen, column + 1) or {}
    return tokens[1] and tokens[1].modifiers.choice
  end), vim.lsp.semantic_tokens.get_at_pos(buffer, chosen, column + 1))
end

-- Both source actions at an exercise without a proof, and its picture in letters.
local function work_out_an_exercise()
  save('sheet.md', { draft[1] })
  vim.cmd.edit(work .. '/sheet.md')
  local buffer = vim.api.nvim_get_current_buf()
  wait(function()
    return #symbols(buffer) == 1
  end)
  vim.api.nvim_win_set_cursor(0, { 1, 24 })
  for _, part in ipairs({ 'scratchWork', 'proof' }) do
    local lines = vim.api.nvim_buf_line_count(buffer)
    vim.lsp.buf.code_action({ apply = true, context = { only = { 'source.majorant.' .. part } } })
    check('the ' .. part .. ' is put in', wait(function()
      return vim.api.nvim_buf_line_count(buffer) > lines
    end))
  end
  local text = table.concat(vim.api.nvim_buf_get_lines(buffer, 0, -1, false), '\n')
  local scratch, proof = text:find('**Scratch work.**', 1, true), text:find('**Proof.**', 1, true)
  check('the proof stands behind the scratch work', scratch and proof and scratch < proof, text)
  local hover
  check('the hover draws in letters', wait(function()
    local place = vim.lsp.util.make_position_params(0, 'utf-8')
    local answers = vim.lsp.buf_request_sync(buffer, 'textDocument/hover', place, deadline)
    for _, answer in pairs(answers or {}) do
      hover = answer.result and answer.result.contents.value or ''
    end
    return hover:find('●', 1, true) ~= nil
  end), hover)
  check('nothing is wrong with what was put in', wait(function()
    return #vim.diagnostic.get(buffer) == 0
  end), vim.diagnostic.get(buffer))
  vim.cmd.write()
  vim.cmd.bdelete()
end

local function run()
  vim.opt.runtimepath:prepend(vim.env.XDG_CONFIG_HOME .. '/nvim')
  vim.cmd('filetype on')
  vim.lsp.enable('majorant')
  save('draft.md', draft)
  vim.cmd.edit(work .. '/draft.md')
  local buffer = vim.api.nvim_get_current_buf()

  check('the server starts', wait(function()
    return #vim.lsp.get_clients({ bufnr = buffer, name = 'majorant' }) == 1
  end))
  check('one server runs', #find_server() == 1)
  local client = vim.lsp.get_clients({ bufnr = buffer, name = 'majorant' })[1]
  check('columns are UTF-8', client.offset_encoding == 'utf-8', client.offset_encoding)

  check('the mistake is found', wait(function()
    return #errors(buffer) == 1
  end), vim.diagnostic.get(buffer))
  local finding = errors(buffer)[1] or {}
  check('the right text is marked', finding.lnum and marked(buffer, finding) == mistake,
    finding.lnum and marked(buffer, finding))
  check('the source is named', finding.source == 'majorant', finding.source)
  check('the check is named', finding.code == 'step-reversed', finding.code)

  local hover = hover_text(buffer)
  check('the hover tells the verdict', hover:find('False', 1, true) ~= nil, hover)
  check('the hover shows numbers', hover:find('left side', 1, true) ~= nil, hover)
  check('the outline has the exercise', vim.tbl_contains(symbols(buffer), 'Exercise 1'),
    symbols(buffer))

  local before = vim.api.nvim_buf_get_lines(buffer, 2, 3, false)[1]
  vim.lsp.buf.code_action({ apply = true })
  check('the fix is applied', wait(function()
    return vim.api.nvim_buf_get_lines(buffer, 2, 3, false)[1] ~= before
  end))
  local line = vim.api.nvim_buf_get_lines(buffer, 2, 3, false)[1]
  check('the fix changes what it says and nothing else', line == draft[3]:gsub('\\ge', '\\le'), line)
  check('the error goes with the mistake', wait(function()
    return #errors(buffer) == 0
  end), errors(buffer))

  replace(buffer, mended, mistake)
  check('the error comes with the mistake', wait(function()
    return #errors(buffer) == 1
  end))
  vim.api.nvim_buf_set_lines(buffer, 1, 1, false, { '', 'A line with 😀 and ε before it.' })
  check('the mark moves with the text', wait(function()
    local one = errors(buffer)[1]
    return one and one.lnum == 4 and marked(buffer, one) == mistake
  end), errors(buffer))
  -- Line by line and letter by letter, as fingers do.
  replace(buffer, '\\ge', '\\')
  replace(buffer, '{n+x} \\ ', '{n+x} \\l ')
  replace(buffer, '\\l ', '\\le ')
  check('typing mends it', wait(function()
    return #errors(buffer) == 0
  end), errors(buffer))

  names_and_marks(buffer)

  vim.cmd.write()
  vim.cmd.bdelete()
  check('closing clears', wait(function()
    return #vim.diagnostic.get(nil) == 0
  end))
  work_out_an_exercise()
end

local ok, trouble = xpcall(run, debug.traceback)
if not ok then
  check('the test runs to its end', false, trouble)
end
save('log', log)
save('tally', { passed .. ' ' .. failed })
vim.cmd('qall!')
