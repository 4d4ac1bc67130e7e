//! What an editor asks beyond findings, hover, fixes and outline: each is announced only to
//! editors that say that they ask it.

use super::tokens;
use tower_lsp::lsp_types::{
    ClientCapabilities, CodeLensOptions, CompletionOptions, FoldingRangeProviderCapability, OneOf,
    RenameOptions, SelectionRangeProviderCapability, SemanticTokensFullOptions,
    SemanticTokensOptions, ServerCapabilities, WorkDoneProgressOptions,
};

/// What an editor asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Features {
    definition: bool,
    references: bool,
    highlight: bool,
    rename: bool,
    /// Asks whether a place can be renamed before it asks for the new name.
    prepare: bool,
    tokens: bool,
    token_ranges: bool,
    folding: bool,
    /// Most folds that it takes.
    pub(crate) folds: Option<u32>,
    selection: bool,
    hints: bool,
    lenses: bool,
    /// Asks for hints, or for lenses, anew where it is told that they have changed.
    pub(crate) refreshes: (bool, bool),
    completion: bool,
    /// Inserts templates with places to fill in.
    pub(crate) snippets: bool,
}

impl Features {
    /// Reads a client's capabilities.
    pub(crate) fn of(client: &ClientCapabilities) -> Self {
        let document = client.text_document.clone().unwrap_or_default();
        let workspace = client.workspace.clone().unwrap_or_default();
        let tokens = document.semantic_tokens.map(|tokens| tokens.requests);
        let full = tokens.as_ref().and_then(|requests| requests.full.as_ref());
        let full = full.is_some_and(|full| !matches!(full, SemanticTokensFullOptions::Bool(false)));
        let item = document
            .completion
            .as_ref()
            .and_then(|completion| completion.completion_item.as_ref());
        Self {
            definition: document.definition.is_some(),
            references: document.references.is_some(),
            highlight: document.document_highlight.is_some(),
            rename: document.rename.is_some(),
            prepare: document
                .rename
                .and_then(|rename| rename.prepare_support)
                .unwrap_or(false),
            tokens: full,
            token_ranges: tokens.and_then(|requests| requests.range).unwrap_or(false),
            folds: document
                .folding_range
                .as_ref()
                .and_then(|folding| folding.range_limit),
            folding: document.folding_range.is_some(),
            selection: document.selection_range.is_some(),
            hints: document.inlay_hint.is_some(),
            lenses: document.code_lens.is_some(),
            refreshes: (
                workspace
                    .inlay_hint
                    .and_then(|hints| hints.refresh_support)
                    .unwrap_or(false),
                workspace
                    .code_lens
                    .and_then(|lenses| lenses.refresh_support)
                    .unwrap_or(false),
            ),
            snippets: item.and_then(|item| item.snippet_support).unwrap_or(false),
            completion: document.completion.is_some(),
        }
    }

    /// Adds what is announced to that editor.
    pub(crate) fn announce(self, server: &mut ServerCapabilities) {
        let progress = WorkDoneProgressOptions::default();
        server.definition_provider = self.definition.then_some(OneOf::Left(true));
        server.references_provider = self.references.then_some(OneOf::Left(true));
        server.document_highlight_provider = self.highlight.then_some(OneOf::Left(true));
        server.rename_provider = if self.prepare {
            Some(OneOf::Right(RenameOptions {
                prepare_provider: Some(true),
                work_done_progress_options: progress,
            }))
        } else {
            self.rename.then_some(OneOf::Left(true))
        };
        server.semantic_tokens_provider = (self.tokens || self.token_ranges).then(|| {
            SemanticTokensOptions {
                work_done_progress_options: progress,
                legend: tokens::legend(),
                range: Some(self.token_ranges),
                full: Some(SemanticTokensFullOptions::Bool(self.tokens)),
            }
            .into()
        });
        server.folding_range_provider = self
            .folding
            .then_some(FoldingRangeProviderCapability::Simple(true));
        server.selection_range_provider = self
            .selection
            .then_some(SelectionRangeProviderCapability::Simple(true));
        server.inlay_hint_provider = self.hints.then_some(OneOf::Left(true));
        server.code_lens_provider = self.lenses.then_some(CodeLensOptions {
            resolve_provider: Some(false),
        });
        server.completion_provider = self.completion.then(|| CompletionOptions {
            trigger_characters: Some(vec!["\\".to_owned()]),
            ..CompletionOptions::default()
        });
    }
}
