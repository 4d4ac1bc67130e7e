" Majorant for Vim with ALE: source this file from the vimrc, or copy it.
function! MajorantRoot(buffer) abort
  return fnamemodify(bufname(a:buffer), ':p:h')
endfunction

for s:filetype in ['markdown', 'quarto', 'rmd', 'tex', 'plaintex']
  call ale#linter#Define(s:filetype, {
  \   'name': 'majorant',
  \   'lsp': 'stdio',
  \   'executable': 'majorant',
  \   'command': '%e serve',
  \   'project_root': function('MajorantRoot'),
  \})
endfor
