"""Where the conversation about a case stands; every step of it is on disk at once."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from optioneer.app.apart.aside import ASIDE
from optioneer.app.engine import cached
from optioneer.app.engine.drafts import Draft
from optioneer.app.parts import show
from optioneer.app.session import state, waiting
from optioneer.app.session.waiting import Reply
from optioneer.errors import OptioneerError
from optioneer.files.case.texts import fingerprint
from optioneer.files.case.write import case_texts
from optioneer.model.case import Case
from optioneer.reports.asking.questions import clash_sentence
from optioneer.reports.page.money import Figures
from optioneer.study.asking.answer_rules import case_after
from optioneer.study.asking.answers import Questions
from optioneer.study.asking.conversation import (
    answers_given,
    beside,
    figures_by_key,
    told_already,
    with_word,
)
from optioneer.study.problem.effort import Progress
from optioneer.study.worth.figures import Figure, What

OPEN, NOW, CLASH = "asking-open", "asking-now", "asking-clash"
"""What is noted beside the draft: what was left open, what is asked now, an answer that clashes."""

FEW = 512
"""Futures on which the next question is looked for first."""


@dataclass(frozen=True)
class UnfitAnswer:
    """An answer that does not fit what the case says; nobody has said yet which one counts.

    Parameters
    ----------
    figure
        Which figure.
    answer, who
        The words, and who said them.
    """

    figure: Figure
    answer: str
    who: str


def questions_reply(case: Case) -> Reply:
    """What is worth asking next, quickly first; what stood there before stays until then."""
    settled = frozenset(told_already(case) | {figure for figure, _ in _left_open()})
    return waiting.reply_to(
        ("questions", cached.content(case), tuple(sorted(map(str, settled)))),
        partial(_questions, case, settled, few=True),
        partial(_questions, case, settled, few=False),
        place="questions",
        about=case,
    )


def _questions(case: Case, settled: frozenset[Figure], told: Progress, *, few: bool) -> Questions:
    from optioneer.study.asking.questions import AskRequest, next_questions  # noqa: PLC0415 - the engine loads when asked

    futures = min(FEW, case.growth.futures) if few else None
    request = AskRequest(case, settled=settled, quick=few, futures=futures)
    key = ("questions", cached.content(case), tuple(sorted(map(str, settled))), few)
    return cached.any_answer(key, partial(ASIDE.done, next_questions, request, progress=told))


def asked_now(case: Case, answer: Questions) -> Figure | None:
    """The figure that is asked for: what was asked before, as long as it is open, else the next."""
    noted = state.last_note(NOW)
    if noted:
        figure = _figure(noted)
        again = noted.get("again") and figure in figures_by_key(case).values()
        if again or figure in {Figure(one.what, one.name) for one in answer.questions}:
            return figure
    if not answer.questions:
        return None
    first = Figure(answer.questions[0].what, answer.questions[0].name)
    ask_for(first, again=False)
    return first


def ask_for(figure: Figure, *, again: bool = True) -> None:
    """Ask for a figure, be it for the second time."""
    state.note(NOW, {"what": figure.what, "name": figure.name, "again": again})


def leave_open(figure: Figure) -> None:
    """Go on with the next question."""
    mark = fingerprint(state.required_draft().texts)
    left = [
        *(state.last_note(OPEN) or ()),
        {"what": figure.what, "name": figure.name, "mark": mark},
    ]
    state.notes({OPEN: left, NOW: None})


def _left_open() -> list[tuple[Figure, str]]:
    """What was left open, each with what tells the case as it was then."""
    return [(_figure(one), str(one["mark"])) for one in state.last_note(OPEN) or ()]


def _figure(noted: Mapping[str, Any]) -> Figure:
    what: What = noted["what"]
    return Figure(what, str(noted["name"]))


def take(figure: Figure, answer: str, who: str, figures: Figures) -> bool:
    """Put an answer into the case, unless it clashes with what is there: then both are shown.

    Returns
    -------
    bool
        Whether it is kept.
    """
    stated = state.read().stated
    if stated is None:
        return False
    try:
        after = case_after(stated, figure, answer)
        if clash_sentence(stated, after, figure, figures):
            state.note(CLASH, {**vars(figure), "answer": answer, "who": who})
            return False
    except OptioneerError as error:
        state.tell(show.sentence_of(error))
        return False
    return _put(with_word(after, figure, answer, state.clock().date(), who=who))


def clash() -> UnfitAnswer | None:
    """The answer that waits for somebody to say whether it counts."""
    noted = state.last_note(CLASH)
    return UnfitAnswer(_figure(noted), noted["answer"], noted["who"]) if noted else None


def settle_clash(told: UnfitAnswer, *, new: bool) -> None:
    """Let the new answer count, or what is there; the other stays as a word that was said."""
    stated = state.read().stated
    if stated is None:
        return
    try:
        after = case_after(stated, told.figure, told.answer)
    except OptioneerError as error:
        state.tell(show.sentence_of(error))
        return
    said = with_word(after, told.figure, told.answer, state.clock().date(), who=told.who)
    if _put(said if new else beside(stated, said)):
        state.note(CLASH, None)
        if not new:
            leave_open(told.figure)


def forget_clash() -> None:
    """Answer again instead."""
    state.note(CLASH, None)


def ask_what_was_left() -> None:
    """Ask again what was left open."""
    state.notes({OPEN: [], NOW: None})


def _put(case: Case) -> bool:
    """The case after an answer, on disk before anything else is asked; whether that was done."""
    try:
        state.put_texts(case_texts(case, state.required_draft().texts), redraw=True)
    except OptioneerError as error:
        state.tell(show.sentence_of(error))
        return False
    state.note(NOW, None)
    return True


def last_said(case: Case) -> Figure | None:
    """What the last step was about, if it was an answer or a question left open."""
    draft, left = state.required_draft(), _left_open()
    if left and left[-1][1] == fingerprint(draft.texts):
        return left[-1][0]
    return _answered_last(draft, case)


def _answered_last(draft: Draft, case: Case) -> Figure | None:
    """What the last change of the case was an answer to; none if it was another change."""
    if not draft.undo:
        return None
    before = cached.read(draft.name, draft.undone().texts).stated
    given = answers_given(case)
    if before is None or len(given) != len(answers_given(before)) + 1:
        return None
    return figures_by_key(case).get(given[-1].key)


def take_back(case: Case) -> None:
    """Go one step back, and ask that question again."""
    figure, draft, left = last_said(case), state.required_draft(), state.last_note(OPEN) or []
    if figure is None:
        return
    if _left_open() and _left_open()[-1][1] == fingerprint(draft.texts):
        state.note(OPEN, left[:-1])
        if not _was_clash(draft, case, figure):
            ask_for(figure)
            return
    state.put_draft(draft.undone(), redraw=True)
    ask_for(figure)


def _was_clash(draft: Draft, case: Case, figure: Figure) -> bool:
    """Whether a question was left open because what the case said before counts."""
    return _answered_last(draft, case) == figure
