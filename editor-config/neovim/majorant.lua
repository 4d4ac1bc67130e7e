-- Majorant for Neovim 0.11 or newer: save as lsp/majorant.lua in the configuration folder.
return {
  cmd = { 'majorant', 'serve' },
  filetypes = { 'markdown', 'quarto', 'rmd', 'tex', 'plaintex' },
  root_markers = { 'majorant.toml', '.git' },
}
