//! What an editor can do, as far as it changes what it is sent.

use super::features::Features;
use source::text::position::Encoding;
use tower_lsp::lsp_types::{
    ClientCapabilities, CodeActionKind, CodeActionOptions, CodeActionProviderCapability,
    HoverProviderCapability, MarkupKind, OneOf, PositionEncodingKind, SaveOptions,
    ServerCapabilities, TextDocumentSyncCapability, TextDocumentSyncKind, TextDocumentSyncOptions,
    TextDocumentSyncSaveOptions,
};

/// What an editor can do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Editor {
    /// What its columns count.
    pub(crate) encoding: Encoding,
    /// Whether it named encodings at all. One that did not may count columns in any way,
    /// whatever the protocol says.
    pub(crate) counts_as_agreed: bool,
    /// Shows related places of a diagnostic.
    pub(crate) related_places: bool,
    /// Draws Markdown in hovers.
    pub(crate) markdown: bool,
    /// Takes edits with versions.
    pub(crate) versioned_edits: bool,
    /// Takes code actions with their kinds.
    pub(crate) action_kinds: bool,
    /// Takes symbols as a tree.
    pub(crate) symbol_tree: bool,
    /// What else it asks.
    pub(crate) features: Features,
}

impl Editor {
    /// Reads a client's capabilities.
    pub(crate) fn of(client: &ClientCapabilities) -> Self {
        let offered = client
            .general
            .as_ref()
            .and_then(|general| general.position_encodings.as_ref());
        let utf8 = offered.is_some_and(|kinds| kinds.contains(&PositionEncodingKind::UTF8));
        let document = client.text_document.as_ref();
        let formats = document
            .and_then(|document| document.hover.as_ref())
            .and_then(|hover| hover.content_format.as_ref());
        Self {
            encoding: if utf8 {
                Encoding::Utf8
            } else {
                Encoding::Utf16
            },
            counts_as_agreed: offered.is_some(),
            related_places: document
                .and_then(|document| document.publish_diagnostics.as_ref())
                .and_then(|diagnostics| diagnostics.related_information)
                .unwrap_or(false),
            // The first format is the preferred one.
            markdown: formats.and_then(|kinds| kinds.first()) == Some(&MarkupKind::Markdown),
            versioned_edits: client
                .workspace
                .as_ref()
                .and_then(|workspace| workspace.workspace_edit.as_ref())
                .and_then(|edit| edit.document_changes)
                .unwrap_or(false),
            action_kinds: document
                .and_then(|document| document.code_action.as_ref())
                .is_some_and(|action| action.code_action_literal_support.is_some()),
            symbol_tree: document
                .and_then(|document| document.document_symbol.as_ref())
                .and_then(|symbols| symbols.hierarchical_document_symbol_support)
                .unwrap_or(false),
            features: Features::of(client),
        }
    }

    /// What the server announces to this editor.
    pub(crate) fn announced(&self) -> ServerCapabilities {
        let change = if self.counts_as_agreed {
            TextDocumentSyncKind::INCREMENTAL
        } else {
            // Whole texts hold no columns that could be counted wrongly.
            TextDocumentSyncKind::FULL
        };
        let sync = TextDocumentSyncOptions {
            open_close: Some(true),
            change: Some(change),
            save: Some(TextDocumentSyncSaveOptions::SaveOptions(SaveOptions {
                include_text: Some(false),
            })),
            ..TextDocumentSyncOptions::default()
        };
        let actions = if self.action_kinds {
            CodeActionProviderCapability::Options(CodeActionOptions {
                code_action_kinds: Some(vec![CodeActionKind::QUICKFIX]),
                ..CodeActionOptions::default()
            })
        } else {
            CodeActionProviderCapability::Simple(true)
        };
        let mut server = ServerCapabilities {
            // An encoding that was not offered is refused by some editors.
            position_encoding: self.counts_as_agreed.then(|| self.encoding_kind()),
            text_document_sync: Some(TextDocumentSyncCapability::Options(sync)),
            hover_provider: Some(HoverProviderCapability::Simple(true)),
            code_action_provider: Some(actions),
            document_symbol_provider: Some(OneOf::Left(true)),
            ..ServerCapabilities::default()
        };
        self.features.announce(&mut server);
        server
    }

    fn encoding_kind(&self) -> PositionEncodingKind {
        match self.encoding {
            Encoding::Utf8 => PositionEncodingKind::UTF8,
            Encoding::Utf16 => PositionEncodingKind::UTF16,
            Encoding::Utf32 => PositionEncodingKind::UTF32,
        }
    }
}
