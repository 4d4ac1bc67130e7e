//! What an editor can do, as far as it changes what it is sent.

use super::drafting;
use super::features::Features;
use source::text::position::Encoding;
use tower_lsp::lsp_types::{
    ClientCapabilities, CodeActionCapabilityResolveSupport, CodeActionKind, CodeActionOptions,
    CodeActionProviderCapability, HoverProviderCapability, MarkupKind, OneOf, PositionEncodingKind,
    SaveOptions, ServerCapabilities, TextDocumentSyncCapability, TextDocumentSyncKind,
    TextDocumentSyncOptions, TextDocumentSyncSaveOptions,
};

/// Editors that draw pictures in hovers, by how their names begin.
const DRAWING: [&str; 5] = [
    "Visual Studio Code",
    "VSCodium",
    "Code - OSS",
    "code-server",
    "@codemirror/lsp-client",
];

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
    /// Asks for the edit of an action once somebody takes it.
    pub(crate) resolves_actions: bool,
    /// Shows actions that cannot be taken, with the reason.
    pub(crate) disabled_actions: bool,
    /// Draws pictures in hovers.
    pub(crate) pictures: bool,
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
        let actions = document.and_then(|document| document.code_action.as_ref());
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
            action_kinds: actions
                .is_some_and(|action| action.code_action_literal_support.is_some()),
            resolves_actions: actions.is_some_and(|actions| {
                let edits = |support: &CodeActionCapabilityResolveSupport| {
                    support.properties.iter().any(|own| own == "edit")
                };
                let kept = actions.data_support.unwrap_or(false);
                kept && actions.resolve_support.as_ref().is_some_and(edits)
            }),
            disabled_actions: actions
                .and_then(|actions| actions.disabled_support)
                .unwrap_or(false),
            pictures: false,
            symbol_tree: document
                .and_then(|document| document.document_symbol.as_ref())
                .and_then(|symbols| symbols.hierarchical_document_symbol_support)
                .unwrap_or(false),
            features: Features::of(client),
        }
    }

    /// The same, with whether it draws pictures in hovers: by the option `pictures` of its first
    /// message, else by its name. Others would show a picture's text as a wall of letters.
    pub(crate) fn with_pictures(
        self,
        name: Option<&str>,
        options: Option<&serde_json::Value>,
    ) -> Self {
        let wish = options.and_then(|own| own.get("pictures")?.as_bool());
        let known = name.is_some_and(|name| DRAWING.iter().any(|own| name.starts_with(own)));
        Self {
            pictures: wish.unwrap_or(known),
            ..self
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
                code_action_kinds: Some(
                    std::iter::once(CodeActionKind::QUICKFIX)
                        .chain(drafting::kinds())
                        .collect(),
                ),
                resolve_provider: self.resolves_actions.then_some(true),
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
