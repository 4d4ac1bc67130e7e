;;; majorant-lsp.el --- Majorant by lsp-mode  -*- lexical-binding: t; -*-
;;; Code:
(require 'lsp-mode)
(dolist (mode '((markdown-mode . "markdown") (gfm-mode . "markdown")
                (latex-mode . "latex") (LaTeX-mode . "latex") (tex-mode . "latex")))
  (add-to-list 'lsp-language-id-configuration mode))
(lsp-register-client
 (make-lsp-client :new-connection (lsp-stdio-connection '("majorant" "serve"))
                  :activation-fn (lsp-activate-on "markdown" "latex")
                  :add-on? t
                  :server-id 'majorant))
(dolist (hook '(markdown-mode-hook latex-mode-hook LaTeX-mode-hook))
  (add-hook hook #'lsp-deferred))
(provide 'majorant-lsp)
;;; majorant-lsp.el ends here
