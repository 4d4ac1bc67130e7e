# Majorant for Kakoune with kak-lsp: source this from kakrc.
eval %sh{kak-lsp --kakoune -s $kak_session}
hook global WinSetOption filetype=(markdown|latex) %{
    lsp-enable-window
    map window user h ':lsp-hover<ret>' -docstring 'what is known about the formula'
    map window user a ':lsp-code-actions<ret>' -docstring 'fixes'
}
