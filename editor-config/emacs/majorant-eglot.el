;;; majorant-eglot.el --- Majorant by eglot  -*- lexical-binding: t; -*-
;;; Code:
(require 'eglot)
(add-to-list 'eglot-server-programs
             '((markdown-mode gfm-mode poly-quarto-mode latex-mode LaTeX-mode tex-mode plain-tex-mode)
               . ("majorant" "serve")))
(dolist (hook '(markdown-mode-hook latex-mode-hook LaTeX-mode-hook))
  (add-hook hook #'eglot-ensure))
(provide 'majorant-eglot)
;;; majorant-eglot.el ends here
