" Majorant for Vim without plugins: save as ~/.vim/compiler/majorant.vim.
" The command :make then fills the quickfix list.
if exists('current_compiler')
  finish
endif
let current_compiler = 'majorant'
let s:save = &cpoptions
set cpoptions&vim

CompilerSet makeprg=majorant\ review\ %:S
" A finding is two lines: severity and message, then path, line, column and the check's name.
CompilerSet errorformat=
      \%E\ \ \ error:\ %m,%E\ \ \ error\ (the\ first\ mistake):\ %m,
      \%W\ \ \ warning:\ %m,%W\ \ \ warning\ (the\ first\ mistake):\ %m,
      \%I\ \ \ information:\ %m,%I\ \ \ hint:\ %m,
      \%Z\ \ \ \ \ %f:%l:%c\ \ %.%#,
      \%C\ \ \ \ \ %m,
      \%-G%.%#

let &cpoptions = s:save
