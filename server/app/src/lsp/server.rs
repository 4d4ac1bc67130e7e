//! The answers to an editor. Handlers that change a draft never wait: their order is the wire's.

use super::compute::Ended;
use super::documents::{Current, Question};
use super::editor::Editor;
use super::follow::{Desk, follow, with_asked};
use super::parent::Parent;
use super::place::{of, range};
use super::reading::{self, Present};
use super::{
    completion, drafting, edits, fixes, folds, hints, hover, names, rename, symbols, tokens,
};
use crate::limits;
use source::text::position::LineIndex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use tower_lsp::LanguageServer;
use tower_lsp::jsonrpc::{Error, ErrorCode, Result};
use tower_lsp::lsp_types::{
    CodeAction, CodeActionParams, CodeActionResponse, CodeLens, CodeLensParams, CompletionParams,
    CompletionResponse, DidChangeTextDocumentParams, DidCloseTextDocumentParams,
    DidOpenTextDocumentParams, DidSaveTextDocumentParams, DocumentHighlight,
    DocumentHighlightParams, DocumentSymbolParams, DocumentSymbolResponse, FoldingRange,
    FoldingRangeParams, GotoDefinitionParams, GotoDefinitionResponse, Hover, HoverParams,
    InitializeParams, InitializeResult, InlayHint, InlayHintParams, Location, MessageType,
    PrepareRenameResponse, ReferenceParams, RenameParams, SelectionRange, SelectionRangeParams,
    SemanticTokens, SemanticTokensParams, SemanticTokensRangeParams, SemanticTokensRangeResult,
    SemanticTokensResult, ServerInfo, TextDocumentPositionParams, Url, WorkspaceEdit,
};

/// The protocol's code for a request that was understood and cannot be met.
const REQUEST_FAILED: i64 = -32803;

/// What the loop must know of the session.
#[derive(Default)]
pub(crate) struct Session {
    /// What the editor can do; set once by its first message.
    editor: OnceLock<Editor>,
    /// The editor's process.
    parent: OnceLock<Parent>,
    /// Whether the editor has asked for the end.
    shut_down: AtomicBool,
}

impl Session {
    /// Whether the editor's process was there and is gone.
    pub(crate) fn is_orphaned(&self) -> bool {
        self.parent.get().is_some_and(Parent::is_gone)
    }

    /// The exit code that the protocol asks for.
    pub(crate) fn exit_code(&self) -> u8 {
        u8::from(!self.shut_down.load(Ordering::Relaxed))
    }
}

/// The server.
pub(crate) struct Server {
    desk: Desk,
    session: Arc<Session>,
}

impl Server {
    /// A server at that desk.
    pub(crate) fn new(desk: Desk, session: Arc<Session>) -> Self {
        Self { desk, session }
    }

    /// A handler with a fault, for tests alone.
    #[cfg(test)]
    pub(crate) async fn panic(&self, _: serde_json::Value) -> Result<()> {
        panic!("asked for by the test")
    }

    fn editor(&self) -> Result<Editor> {
        let editor = self.session.editor.get();
        editor.copied().ok_or_else(Error::internal_error)
    }

    fn drafting(&self, editor: Editor) -> drafting::Desk<'_> {
        drafting::Desk {
            aside: &self.desk.aside,
            outbox: &self.desk.outbox,
            editor,
        }
    }

    fn ask(&self, url: &Url) -> Option<Question> {
        self.desk.documents.ask(url)
    }

    /// The draft as it is, read.
    async fn whole(&self, url: &Url) -> Result<Option<(Present, Editor)>> {
        let editor = self.editor()?;
        let Some(question) = self.ask(url) else {
            return Ok(None);
        };
        let present = reading::present(&self.desk, url, question).await;
        Ok(present.map(|present| (present, editor)))
    }

    /// The draft as it is, read, and the byte at a position of it.
    async fn present(
        &self,
        place: &TextDocumentPositionParams,
    ) -> Result<Option<(Present, usize, Editor)>> {
        let editor = self.editor()?;
        let url = &place.text_document.uri;
        let Some(question) = self.ask(url) else {
            return Ok(None);
        };
        let offset = question.offset(place.position, editor.encoding);
        let present = reading::present(&self.desk, url, question).await;
        Ok(present.map(|present| (present, offset, editor)))
    }
}

/// A refusal with its reason, which editors show.
fn refused(reason: String) -> Error {
    Error {
        code: ErrorCode::ServerError(REQUEST_FAILED),
        message: reason.into(),
        data: None,
    }
}

async fn current(question: Option<Question>) -> Option<Current> {
    question?.current(limits::FIRST_REVIEW).await
}

/// For marks, which an editor that cannot be told to ask anew keeps until the next edit.
async fn for_marks(question: Option<Question>, asks_anew: bool) -> Option<Current> {
    if asks_anew {
        return current(question).await;
    }
    let (patience, most) = (limits::FRESH_REVIEW, limits::FIRST_REVIEW);
    question?.fresh(patience, most).await
}

#[tower_lsp::async_trait]
impl LanguageServer for Server {
    async fn initialize(&self, params: InitializeParams) -> Result<InitializeResult> {
        let editor = *self.session.editor.get_or_init(|| {
            let name = params.client_info.as_ref().map(|own| own.name.as_str());
            Editor::of(&params.capabilities)
                .with_pictures(name, params.initialization_options.as_ref())
        });
        self.session
            .parent
            .get_or_init(|| Parent::watch(params.process_id));
        Ok(InitializeResult {
            capabilities: editor.announced(),
            server_info: Some(ServerInfo {
                name: "majorant".to_owned(),
                version: Some(env!("CARGO_PKG_VERSION").to_owned()),
            }),
        })
    }

    async fn shutdown(&self) -> Result<()> {
        self.session.shut_down.store(true, Ordering::Relaxed);
        Ok(())
    }

    async fn did_open(&self, params: DidOpenTextDocumentParams) {
        let Ok(editor) = self.editor() else { return };
        let url = params.text_document.uri.clone();
        let opened = self.desk.documents.open(params.text_document);
        tokio::spawn(follow(self.desk.clone(), url, opened, editor));
    }

    async fn did_change(&self, params: DidChangeTextDocumentParams) {
        let Ok(editor) = self.editor() else { return };
        let document = params.text_document;
        let changes = params.content_changes;
        let documents = &self.desk.documents;
        if !documents.change(&document.uri, document.version, changes, editor.encoding) {
            let message = format!(
                "An edit of {}, which is not open, was ignored.",
                document.uri
            );
            self.desk.outbox.log(MessageType::WARNING, message);
        }
    }

    async fn did_save(&self, _: DidSaveTextDocumentParams) {}

    async fn did_close(&self, params: DidCloseTextDocumentParams) {
        self.desk.documents.close(&params.text_document.uri);
    }

    async fn hover(&self, params: HoverParams) -> Result<Option<Hover>> {
        let place = params.text_document_position_params;
        let question = self.ask(&place.text_document.uri);
        let Some((present, offset, editor)) = self.present(&place).await? else {
            return Ok(None);
        };
        let current = current(question).await;
        let Some(current) = current else {
            return Ok(None);
        };
        let Some(hover) = hover::at(&current, &present, offset, &editor) else {
            return Ok(None);
        };
        let moment = current.moment(place.text_document.uri);
        let aside = &self.desk.aside;
        let picture = aside.picture(moment, current.drift, offset).await;
        Ok(Some(match picture {
            Some(picture) => hover::with_picture(hover, &picture, &editor),
            None => hover,
        }))
    }

    async fn goto_definition(
        &self,
        params: GotoDefinitionParams,
    ) -> Result<Option<GotoDefinitionResponse>> {
        let place = params.text_document_position_params;
        let url = &place.text_document.uri;
        let found = self.present(&place).await?;
        Ok(found
            .and_then(|(present, offset, editor)| names::definition(&present, offset, &editor, url))
            .map(GotoDefinitionResponse::Scalar))
    }

    async fn references(&self, params: ReferenceParams) -> Result<Option<Vec<Location>>> {
        let place = params.text_document_position;
        let url = &place.text_document.uri;
        let introduction = params.context.include_declaration;
        let found = self.present(&place).await?;
        Ok(found.and_then(|(present, offset, editor)| {
            names::references(&present, offset, introduction, &editor, url)
        }))
    }

    async fn document_highlight(
        &self,
        params: DocumentHighlightParams,
    ) -> Result<Option<Vec<DocumentHighlight>>> {
        let found = self.present(&params.text_document_position_params).await?;
        Ok(
            found
                .and_then(|(present, offset, editor)| names::highlights(&present, offset, &editor)),
        )
    }

    async fn prepare_rename(
        &self,
        place: TextDocumentPositionParams,
    ) -> Result<Option<PrepareRenameResponse>> {
        let Some((present, offset, editor)) = self.present(&place).await? else {
            return Ok(None);
        };
        let (span, placeholder) = rename::prepare(&present, offset).map_err(refused)?;
        let range = range(&LineIndex::new(&present.text), span, editor.encoding);
        Ok(Some(PrepareRenameResponse::RangeWithPlaceholder {
            range,
            placeholder,
        }))
    }

    async fn rename(&self, params: RenameParams) -> Result<Option<WorkspaceEdit>> {
        let place = params.text_document_position;
        let url = place.text_document.uri.clone();
        let Some((present, offset, editor)) = self.present(&place).await? else {
            return Ok(None);
        };
        let engine = self.desk.engine.clone();
        let job = move || {
            let read = |text: &str| with_asked(&url, text, present.format, &*engine.read);
            let changes = rename::changes(&present, offset, &params.new_name, &read)?;
            let (text, version) = (&present.text, present.version);
            Ok(edits::workspace_edit(
                text, version, &changes, &editor, &url,
            ))
        };
        match self.desk.answers.run(job).await {
            Ended::Done(edit) => edit.map(Some).map_err(refused),
            Ended::Panicked => Err(Error::internal_error()),
        }
    }

    async fn semantic_tokens_full(
        &self,
        params: SemanticTokensParams,
    ) -> Result<Option<SemanticTokensResult>> {
        let found = self.whole(&params.text_document.uri).await?;
        Ok(found.map(|(present, editor)| {
            SemanticTokensResult::Tokens(SemanticTokens {
                result_id: None,
                data: tokens::of_draft(&present, None, &editor),
            })
        }))
    }

    async fn semantic_tokens_range(
        &self,
        params: SemanticTokensRangeParams,
    ) -> Result<Option<SemanticTokensRangeResult>> {
        let found = self.whole(&params.text_document.uri).await?;
        Ok(found.map(|(present, editor)| {
            SemanticTokensRangeResult::Tokens(SemanticTokens {
                result_id: None,
                data: tokens::of_draft(&present, Some(params.range), &editor),
            })
        }))
    }

    async fn folding_range(&self, params: FoldingRangeParams) -> Result<Option<Vec<FoldingRange>>> {
        let found = self.whole(&params.text_document.uri).await?;
        Ok(found.map(|(present, editor)| folds::folds(&present, &editor)))
    }

    async fn selection_range(
        &self,
        params: SelectionRangeParams,
    ) -> Result<Option<Vec<SelectionRange>>> {
        let found = self.whole(&params.text_document.uri).await?;
        Ok(found.map(|(present, editor)| {
            let lines = LineIndex::new(&present.text);
            let offsets = params
                .positions
                .iter()
                .map(|position| lines.offset(of(*position), editor.encoding));
            offsets
                .map(|offset| folds::selection(&present, offset, &editor))
                .collect()
        }))
    }

    async fn inlay_hint(&self, params: InlayHintParams) -> Result<Option<Vec<InlayHint>>> {
        let editor = self.editor()?;
        let question = self.ask(&params.text_document.uri);
        let current = for_marks(question, editor.features.refreshes.0).await;
        Ok(current.map(|current| hints::hints(&current, params.range, &editor)))
    }

    async fn code_lens(&self, params: CodeLensParams) -> Result<Option<Vec<CodeLens>>> {
        let url = params.text_document.uri;
        let question = self.ask(&url);
        let Some((present, editor)) = self.whole(&url).await? else {
            return Ok(None);
        };
        let current = for_marks(question, editor.features.refreshes.1).await;
        Ok(current.map(|current| hints::lenses(&current, &present, &editor)))
    }

    async fn completion(&self, params: CompletionParams) -> Result<Option<CompletionResponse>> {
        let found = self.present(&params.text_document_position).await?;
        Ok(found.map(|(present, offset, editor)| {
            CompletionResponse::Array(completion::at(&present, offset, &editor))
        }))
    }

    async fn code_action(&self, params: CodeActionParams) -> Result<Option<CodeActionResponse>> {
        let editor = self.editor()?;
        let url = params.text_document.uri;
        let Some(question) = self.ask(&url) else {
            return Ok(None);
        };
        let current = current(self.ask(&url)).await;
        let (range, context) = (params.range, &params.context);
        let fixes = current.map(|current| fixes::at(&current, range, context, &editor, &url));
        let written = drafting::at(self.drafting(editor), &question, &url, range, context).await;
        Ok(Some(
            fixes
                .unwrap_or_default()
                .into_iter()
                .chain(written)
                .collect(),
        ))
    }

    async fn code_action_resolve(&self, action: CodeAction) -> Result<CodeAction> {
        let editor = self.editor()?;
        let question = drafting::url_of(&action).and_then(|url| self.ask(&url));
        drafting::resolve(self.drafting(editor), question, action).await
    }

    async fn document_symbol(
        &self,
        params: DocumentSymbolParams,
    ) -> Result<Option<DocumentSymbolResponse>> {
        let editor = self.editor()?;
        let url = params.text_document.uri;
        let current = current(self.ask(&url)).await;
        Ok(current.map(|current| symbols::of(&current, &editor, &url)))
    }
}
