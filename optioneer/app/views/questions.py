"""What to find out before the order: one question at a time, the one that is worth most first."""

from functools import partial

import streamlit as st

from optioneer.app.engine.words import PAGES, literal
from optioneer.app.parts import fold, missing_part, show
from optioneer.app.questions import account_asked, form, picture, said_so_far, talk
from optioneer.app.session import state, waiting
from optioneer.errors import OptioneerError
from optioneer.model.case import Case
from optioneer.reports.asking.beliefs import asked_value
from optioneer.reports.asking.questions import clash_sentence, question_text, questions_page
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Paragraph
from optioneer.study.asking.answer_rules import RULES, case_after
from optioneer.study.asking.answers import NextQuestion, Questions
from optioneer.study.asking.beliefs import belief
from optioneer.study.asking.conversation import answers_given
from optioneer.study.worth.figures import Figure


def page() -> None:
    """The question, its picture and its fields; below, what comes next and what was said."""
    read = state.read()
    if read.case is None or read.stated is None:
        show.faults(read.faults, title="Mend the case first, on the page 'The case'.")
        return
    case = read.case
    figures = state.figures(case.machine.currency)
    show.show(Heading(f"{case.machine.name}: what to find out before the order"))
    reply = talk.questions_reply(case)
    waiting.progress(reply, "Looking for the question that is worth most")
    answer: Questions | None = reply.answer
    if answer is not None:
        with waiting.dimmed("questions", dim=reply.stale):
            _ask(read.stated, answer, figures, stale=reply.stale)
    said_so_far.draw(read.stated, figures)
    account_asked.draw(read.stated, figures)


def _ask(case: Case, answer: Questions, figures: Figures, *, stale: bool) -> None:
    """The question that is asked now; none once the answer is to another case."""
    told = talk.clash()
    if told is not None:
        _clash(case, told, figures)
        return
    if stale:
        return
    figure = talk.asked_now(case, answer)
    if figure is None:
        _done(case, answer, figures)
    else:
        found = [
            one for one in answer.questions if (one.what, one.name) == (figure.what, figure.name)
        ]
        _progress(case, answer, figures)
        _question(case, figure, found[0] if found else None, figures)
    with fold.under(f"What is still worth asking ({len(answer.questions)})", "worth-asking"):
        page = questions_page(case, answer, figures)
        show.page(tuple(part for part in page if not isinstance(part, Heading)))


def _progress(case: Case, answer: Questions, figures: Figures) -> None:
    """How far the talk is, and when it ends."""
    given, left = len(answers_given(case)), len(answer.questions)
    st.caption(
        literal(
            f"{given or 'Nothing'} answered so far, {left} still worth asking. Stop when nothing "
            f"is worth {figures.amount(answer.least)} any more, 0.2% of the price. Every answer is "
            "kept at once."
        )
    )


def _question(case: Case, figure: Figure, found: NextQuestion | None, figures: Figures) -> None:
    rule = RULES[figure.what]
    text = question_text(case, figure.what, figure.name)
    left, right = st.columns(2, gap="large")
    with left:
        st.subheader(literal(f"{text[0].upper()}{text[1:]}"))
        st.markdown(literal(f"Ask the {rule.who}. {_worth(found, figures)}"))
        form.draw(figure)
        after = _case_as_said(case, figure)
        st.text_input("Who says so", rule.who, key=f"who-{figure.what}-{figure.name}", max_chars=60)
        _buttons(case, figure, figures)
    with right:
        turning = () if found is None else found.turning
        picture.draw(case, after, figure, turning, figures)


def _worth(found: NextQuestion | None, figures: Figures) -> str:
    if found is None:
        return "It was answered before; the last answer counts."
    worth, adds = figures.amount(found.worth), figures.amount(found.adds)
    if found.worth >= found.adds:
        return f"To know it is worth up to {worth}."
    return f"To know it is worth {worth} alone, {adds} once the others are known."


def _case_as_said(case: Case, figure: Figure) -> Case | None:
    """The case with what the fields say; none while they say nothing that is understood."""
    try:
        said = form.answer(figure)
        return case_after(case, figure, said) if said else None
    except OptioneerError as error:
        show.mistake(error)
        return None


def _buttons(case: Case, figure: Figure, figures: Figures) -> None:
    take, leave, back = st.columns(3)
    take.button(
        "Take this answer",
        key="take-answer",
        type="primary",
        on_click=partial(_take, figure, figures),
        width="stretch",
    )
    leave.button(
        "Leave it open",
        key="leave-open",
        on_click=partial(talk.leave_open, figure),
        width="stretch",
    )
    _back(case, back)


def _back(case: Case, place: "st.delta_generator.DeltaGenerator") -> None:
    place.button(
        "One step back",
        key="step-back",
        disabled=talk.last_said(case) is None,
        on_click=partial(talk.take_back, case),
        help="Takes the last answer back and asks it again.",
        width="stretch",
    )


def _take(figure: Figure, figures: Figures) -> None:
    """Take what the fields say when the button is pressed."""
    try:
        said = form.answer(figure)
    except OptioneerError as error:
        state.tell(show.sentence_of(error))
        return
    if not said:
        state.tell("Fill in an answer first, or leave the question open.")
        return
    who = str(state.widget(f"who-{figure.what}-{figure.name}") or "")
    if talk.take(figure, said, who, figures):
        form.clear(figure)


def _clash(case: Case, told: talk.UnfitAnswer, figures: Figures) -> None:
    """Two answers side by side; somebody says which one counts."""
    figure = told.figure
    after = case_after(case, figure, told.answer)
    text = question_text(case, figure.what, figure.name)
    st.subheader(literal(f"{text[0].upper()}{text[1:]}"))
    show.show(Paragraph(clash_sentence(case, after, figure, figures), strong=True))
    picture.draw(case, after, figure, (), figures)
    here, new = (
        asked_value(figure.what, belief(each, figure).likely, figures) for each in (case, after)
    )
    left, middle, right = st.columns(3)
    left.button(
        literal(f"Keep {here}; note {new} beside it"),
        key="clash-keep",
        on_click=partial(talk.settle_clash, told, new=False),
        width="stretch",
    )
    middle.button(
        literal(f"Take {new} instead"),
        key="clash-take",
        on_click=partial(talk.settle_clash, told, new=True),
        width="stretch",
    )
    right.button("Answer again", key="clash-again", on_click=talk.forget_clash, width="stretch")
    st.caption("Both stay on record, whichever counts.")


def _done(case: Case, answer: Questions, figures: Figures) -> None:
    st.success(
        literal(
            f"No question is worth more than {figures.amount(answer.least)}, 0.2% of the price: "
            "stop here."
        ),
        icon=":material/check_circle:",
    )
    st.page_link(missing_part.to("answer"), label=f"Go on to '{PAGES['answer']}'")
    _back(case, st.columns(3)[0])
