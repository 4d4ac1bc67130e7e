-- Majorant for Neovim 0.8 to 0.10, for init.lua.
vim.api.nvim_create_autocmd('FileType', {
  pattern = { 'markdown', 'quarto', 'rmd', 'tex', 'plaintex' },
  callback = function(event)
    vim.lsp.start({
      name = 'majorant',
      cmd = { 'majorant', 'serve' },
      root_dir = vim.fs.dirname(vim.api.nvim_buf_get_name(event.buf)),
    })
  end,
})
