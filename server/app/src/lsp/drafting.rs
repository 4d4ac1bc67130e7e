//! Source actions at an exercise that has no proof: write out its scratch work, draft its proof.
//! What is put in was reviewed before; where it cannot be had, the reason is told.

use super::aside::{Answer, Aside, Moment};
use super::documents::Question;
use super::editor::Editor;
use super::fixes::edit_at;
use super::outbox::Outbox;
use scratch::exercise::{Exercise, Part};
use serde::{Deserialize, Serialize};
use source::Span;
use tower_lsp::jsonrpc::{Error, ErrorCode, Result};
use tower_lsp::lsp_types::{
    CodeAction, CodeActionContext, CodeActionDisabled, CodeActionKind, CodeActionOrCommand,
    CodeActionTriggerKind, MessageType, Range, Url, WorkspaceEdit,
};

/// The kind above both.
const BOTH: &str = "source.majorant";

/// The parts that are offered, with their kinds and titles.
const OFFERED: [(Part, &str, &str); 2] = [
    (
        Part::ScratchWork,
        "source.majorant.scratchWork",
        "Write out the scratch work",
    ),
    (Part::Proof, "source.majorant.proof", "Draft the proof"),
];

/// The kinds, for what is announced.
pub(super) fn kinds() -> impl Iterator<Item = CodeActionKind> {
    OFFERED.iter().map(|(_, kind, _)| CodeActionKind::new(kind))
}

/// What an action needs to be worked out later.
#[derive(Serialize, Deserialize)]
struct Later {
    uri: Url,
    /// Our count of the draft's states: the exercise stands there in this one.
    revision: u64,
    start: usize,
    scratch: bool,
}

/// Whether an editor that asks for `only` wants actions of a kind.
fn wants(only: Option<&Vec<CodeActionKind>>, kind: &str) -> bool {
    let above = |own: &CodeActionKind| {
        let own = own.as_str();
        own.is_empty() || kind == own || kind.starts_with(&format!("{own}."))
    };
    only.is_none_or(|kinds| kinds.iter().any(above))
}

/// What an offer needs.
pub(super) struct Desk<'a> {
    /// Where answers are worked out.
    pub(super) aside: &'a Aside,
    /// The way to the editor.
    pub(super) outbox: &'a Outbox,
    /// What the editor can do.
    pub(super) editor: Editor,
}

/// The actions for what an editor asks about.
pub(super) async fn at(
    desk: Desk<'_>,
    question: &Question,
    url: &Url,
    asked: Range,
    context: &CodeActionContext,
) -> Vec<CodeActionOrCommand> {
    let mut actions = Vec::new();
    // Some editors take every edit that comes for a fault that they name.
    let mends = context.only.is_none() && !context.diagnostics.is_empty();
    if !desk.editor.action_kinds || mends && !desk.editor.resolves_actions {
        return actions;
    }
    let moment = question.moment(url);
    let encoding = desk.editor.encoding;
    let (from, to) = (
        question.offset(asked.start, encoding),
        question.offset(asked.end, encoding),
    );
    for (part, kind, title) in OFFERED {
        if !wants(context.only.as_ref(), kind) {
            continue;
        }
        let exercises = desk.aside.lacking(moment.clone(), part).await;
        // A whole file is no exercise.
        let around = |own: &&Exercise| own.start <= from && to <= own.place;
        let Some(exercise) = exercises.iter().find(around) else {
            continue;
        };
        let mut action = CodeAction {
            title: titled(title, exercise),
            kind: Some(CodeActionKind::new(kind)),
            ..CodeAction::default()
        };
        let later = Later {
            uri: url.clone(),
            revision: question.revision(),
            start: exercise.start,
            scratch: part == Part::ScratchWork,
        };
        let trouble = match &exercise.subject {
            Err(reason) => Some((*reason).to_owned()),
            Ok(_) if desk.editor.resolves_actions => {
                action.data = serde_json::to_value(later).ok();
                None
            }
            Ok(_) => {
                let found = desk.aside.answer_soon(moment.clone(), exercise.start, part);
                match found.await.as_deref() {
                    Some(Ok(text)) => {
                        let edit = edit(question, url, &desk.editor, exercise.place, text);
                        action.edit = Some(edit);
                        None
                    }
                    Some(Err(reason)) => Some(reason.clone()),
                    None => Some("it takes a while; ask again".to_owned()),
                }
            }
        };
        match trouble {
            None => actions.push(CodeActionOrCommand::CodeAction(action)),
            Some(reason) if desk.editor.disabled_actions => {
                let reason = capital(&reason);
                action.disabled = Some(CodeActionDisabled { reason });
                actions.push(CodeActionOrCommand::CodeAction(action));
            }
            // A menu that opens with every step of the pointer is no question.
            Some(reason) if is_asked_for(context) => tell(desk.outbox, &action.title, &reason),
            Some(_) => {}
        }
    }
    actions
}

fn titled(title: &str, exercise: &Exercise) -> String {
    match &exercise.title {
        Some(own) => format!("{title} of {}", crate::report::escape::one_line(own)),
        None => title.to_owned(),
    }
}

/// Whether somebody wants such an action and no other.
fn is_asked_for(context: &CodeActionContext) -> bool {
    let invoked = context.trigger_kind != Some(CodeActionTriggerKind::AUTOMATIC);
    let only = context.only.as_ref().is_some_and(|kinds| {
        kinds.iter().any(|kind| {
            let kind = kind.as_str();
            kind == BOTH || kind.starts_with(&format!("{BOTH}."))
        })
    });
    invoked && only
}

fn tell(outbox: &Outbox, title: &str, reason: &str) {
    outbox.show(MessageType::INFO, format!("{title}: {reason}."));
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        format!("{}{}.", first.to_uppercase(), letters.as_str())
    })
}

fn edit(
    question: &Question,
    url: &Url,
    editor: &Editor,
    place: usize,
    text: &str,
) -> WorkspaceEdit {
    let (current, version) = question.text();
    edit_at(
        (&current, version),
        Span::new(place, place),
        text,
        editor,
        url,
    )
}

/// The draft of an action that is to be worked out.
pub(super) fn url_of(action: &CodeAction) -> Option<Url> {
    let later: Later = serde_json::from_value(action.data.clone()?).ok()?;
    Some(later.uri)
}

/// Works an action out.
///
/// # Errors
/// If the draft has changed since it was offered.
pub(super) async fn resolve(
    desk: Desk<'_>,
    question: Option<Question>,
    mut action: CodeAction,
) -> Result<CodeAction> {
    let later = action.data.clone().map(serde_json::from_value::<Later>);
    let Some(Ok(later)) = later else {
        return Ok(action);
    };
    let question = question.filter(|own| own.revision() == later.revision);
    let question = question.ok_or_else(|| Error::new(ErrorCode::ContentModified))?;
    let part = if later.scratch {
        Part::ScratchWork
    } else {
        Part::Proof
    };
    let moment: Moment = question.moment(&later.uri);
    let exercises = desk.aside.lacking(moment.clone(), part).await;
    let exercise = exercises.iter().find(|own| own.start == later.start);
    let exercise = exercise.ok_or_else(|| Error::new(ErrorCode::ContentModified))?;
    let found: Option<Answer> = desk.aside.answer(moment, later.start, part).await;
    match found.as_deref() {
        Some(Ok(text)) => {
            let edit = edit(&question, &later.uri, &desk.editor, exercise.place, text);
            action.edit = Some(edit);
        }
        Some(Err(reason)) => tell(desk.outbox, &action.title, reason),
        None => tell(
            desk.outbox,
            &action.title,
            "it took too long and was called off",
        ),
    }
    Ok(action)
}
