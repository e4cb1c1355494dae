"""What to ask first stands apart from what only adds to other answers."""

import pytest

from optioneer.reports.asking.questions import questions_page
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Entries, Paragraph
from optioneer.study.asking.answers import NextQuestion, Questions
from tests.oracle.cases import anticipation

FIGURES = Figures("USD", "en_US")


def question(worth: float, adds: float) -> NextQuestion:
    (stream,) = anticipation().growth.stream
    return NextQuestion(
        what="chance",
        name=stream.id,
        here=0.5,
        low=0.4,
        high=0.6,
        why="a guess",
        worth=worth,
        adds=adds,
        turns=(),
        who="customer",
        form="percent",
    )


def asked(*questions: NextQuestion) -> Questions:
    return Questions(
        case="small",
        currency="USD",
        futures=256,
        seed=7,
        price=50e3,
        least=100.0,
        everything=900.0,
        questions=questions,
        figures=9,
        below=9 - len(questions),
        together=(),
        beyond=(),
    )


@pytest.mark.parametrize(
    ("questions", "said", "lists"),
    [
        ([], "Nothing is left to ask.", {}),
        ([(300.0, 20.0)], "1 question would pay by itself. 8 of 9", {"Ask": ["$300"]}),
        (
            [(300.0, 20.0), (200.0, 9.0), (4.0, 80.0)],
            "2 questions would each pay by itself. 1 more adds to what others tell: to know all",
            {"Ask": ["$300", "$200"], "Then ask": ["$80"]},
        ),
        ([(4.0, 80.0)], "No question would pay by itself. 1 adds", {"Then ask": ["$80"]}),
    ],
)
def test_a_question_that_is_worth_nothing_alone_is_not_said_to_pay(
    questions: list[tuple[float, float]], said: str, lists: dict[str, list[str]]
) -> None:
    page = questions_page(anticipation(), asked(*(question(*one) for one in questions)), FIGURES)
    (first,) = [part for part in page if isinstance(part, Paragraph)]
    assert first.text.startswith(said)
    shown = {part.title: part for part in page if isinstance(part, Entries)}
    assert {
        title: [one.figures[1] for one in part.entries] for title, part in shown.items()
    } == lists
