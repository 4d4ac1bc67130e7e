//! The answers to an editor. Handlers that change a draft never wait: their order is the wire's.

use super::documents::{Current, Question};
use super::editor::Editor;
use super::follow::{Desk, follow};
use super::parent::Parent;
use super::{drafting, fixes, hover, symbols};
use crate::limits;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use tower_lsp::LanguageServer;
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::{
    CodeAction, CodeActionParams, CodeActionResponse, DidChangeTextDocumentParams,
    DidCloseTextDocumentParams, DidOpenTextDocumentParams, DidSaveTextDocumentParams,
    DocumentSymbolParams, DocumentSymbolResponse, Hover, HoverParams, InitializeParams,
    InitializeResult, MessageType, ServerInfo, Url,
};

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
}

async fn current(question: Option<Question>) -> Option<Current> {
    question?.current(limits::FIRST_REVIEW).await
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
        let editor = self.editor()?;
        let place = params.text_document_position_params;
        let question = self.ask(&place.text_document.uri);
        let offset = question
            .as_ref()
            .map(|question| question.offset(place.position, editor.encoding));
        let current = current(question).await;
        let Some((current, offset)) = current.zip(offset) else {
            return Ok(None);
        };
        let Some(hover) = hover::at(&current, offset, &editor) else {
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
