"""`optioneer ask`, `bargain`, `wait`: what to find out and ask for before, what to do after."""

import sys
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from optioneer.cli import shell
from optioneer.cli.many import workers
from optioneer.cli.progress import progress_bar
from optioneer.errors import OptioneerError

if TYPE_CHECKING:
    from optioneer.model.case import Case
    from optioneer.study.asking.answers import NextQuestion, Questions
    from optioneer.study.problem.executor import Pool
    from optioneer.study.worth.figures import Figure

LEAVE, BACK, SKIP = "q", "b", ""
"""What leaves the conversation, takes the last answer back, and leaves a question open."""


@shell.app.command("ask")
def ask(
    case: shell.CasePath,
    listed: Annotated[  # noqa: FBT002 - the signature is typer's
        bool, typer.Option("--list", help="Only list what is worth asking.")
    ] = False,
    quick: Annotated[  # noqa: FBT002 - the signature is typer's
        bool, typer.Option("--quick", help="Leave out figures of which only valuing anew tells.")
    ] = False,
    futures: shell.FuturesCount = None,
    seed: shell.Seed = None,
    count: workers.Count = None,
    on: workers.Address = None,
    json: shell.JsonPath = None,
) -> None:
    """Ask what is worth knowing before the order, one question at a time, and keep the answers."""
    from optioneer.reports.asking.questions import questions_page
    from optioneer.study.asking.questions import AskRequest, next_questions

    shell.must_be_writable(json)
    pool = workers.pool_of(count, on)
    if not listed and json is None:
        _Talk(case, futures=futures, seed=seed, quick=quick, pool=pool).held()
        return
    request = AskRequest(shell.case_in(case), futures=futures, seed=seed, quick=quick)
    with progress_bar("Looking for what is worth asking") as progress:
        answer = next_questions(request, progress=progress, pool=pool)
    figures = shell.figures(answer.currency)
    shell.hand_over(answer, json, lambda: questions_page(request.counted, answer, figures))


@shell.app.command("bargain")
def bargain(
    case: shell.CasePath,
    against: Annotated[
        list[Path] | None,
        typer.Option("--against", metavar="CASE", help="Another dealer's quote; may be repeated."),
    ] = None,
    rate: Annotated[
        list[str] | None,
        typer.Option(
            "--rate", metavar="CODE=RATE", help="What one unit of another currency is worth here."
        ),
    ] = None,
    rate_date: Annotated[
        str | None, typer.Option("--rate-date", metavar="DAY", help="The day of the rates.")
    ] = None,
    written_years: Annotated[
        float,
        typer.Option(
            "--written-years", metavar="YEARS", help="How long a later price is held in writing."
        ),
    ] = 3.0,
    futures: shell.FuturesCount = None,
    seed: shell.Seed = None,
    json: shell.JsonPath = None,
) -> None:
    """Say what every option is worth with the order, and what else to ask the dealer for."""
    from optioneer.reports.asking.bargain import bargain_page
    from optioneer.study.bargain.bargain import BargainRequest, negotiation
    from optioneer.study.compare.currencies import asked_exchange

    shell.must_be_writable(json)
    request = BargainRequest(
        shell.case_in(case),
        futures=futures,
        seed=seed,
        against=tuple(shell.case_in(other) for other in against or ()),
        exchange=asked_exchange(rate or (), day=rate_date),
        written_years=written_years,
    )
    with progress_bar("Asking what each thing is worth") as progress:
        answer = negotiation(request, progress=progress)
    figures = shell.figures(answer.currency)
    shell.hand_over(answer, json, lambda: bargain_page(request.counted, answer, figures))


@shell.app.command("wait")
def wait(
    case: shell.CasePath,
    futures: shell.FuturesCount = None,
    seed: shell.Seed = None,
    plan: shell.PlanId = None,
    json: shell.JsonPath = None,
) -> None:
    """Say in words when to order what is left for a retrofit, and how good these words are."""
    from optioneer.reports.asking.acting import acting_page
    from optioneer.study.acting.acting import ActingRequest, acting

    shell.must_be_writable(json)
    request = ActingRequest(shell.case_in(case), futures=futures, seed=seed, plan=plan)
    with progress_bar("Looking for when to order what waits") as progress:
        answer = acting(request, progress=progress)
    figures = shell.figures(answer.currency)
    shell.hand_over(answer, json, lambda: acting_page(request.counted, answer, figures))


@dataclass
class _Talk:
    """Questions and answers about one case; every answer is in its folder before the next one."""

    folder: Path
    futures: int | None
    seed: int | None
    quick: bool
    pool: "Pool | None"
    settled: list["Figure"] = field(default_factory=list)
    before: list["Case"] = field(default_factory=list)

    def held(self) -> None:
        """Ask until nothing is worth asking or somebody leaves."""
        from optioneer.files.case.read import read_case
        from optioneer.study.asking.conversation import told_already

        shell.case_in(self.folder)  # tells what should be known of it
        case = read_case(self.folder)
        self.settled.extend(sorted(told_already(case), key=str))
        while (after := self._case_after_question(case)) is not None:
            case = after

    def _case_after_question(self, case: "Case") -> "Case | None":
        """The case after one question; none at the end."""
        answer = self._looked_up(case)
        if not answer.questions:
            typer.echo("Nothing is left to ask that would be worth it. Now: optioneer advise")
            return None
        return self._case_after_answers(case, answer.questions[0])

    def _looked_up(self, case: "Case") -> "Questions":
        from optioneer.study.asking.questions import AskRequest, next_questions

        request = AskRequest(
            case,
            futures=self.futures,
            seed=self.seed,
            quick=self.quick,
            settled=frozenset(self.settled),
        )
        with progress_bar("Looking for the next question") as progress:
            return next_questions(request, progress=progress, pool=self.pool)

    def _case_after_answers(self, case: "Case", question: "NextQuestion") -> "Case | None":
        from optioneer.study.worth.figures import Figure

        self._tell_question(case, question)
        figure = Figure(question.what, question.name)
        while True:
            text = _typed_line()
            if text is None or text == LEAVE:
                typer.echo(f"Kept in {self.folder}: {len(self.before)} answers.")
                return None
            if text == BACK:
                return self._taken_back(case)
            if text == SKIP:
                self.settled.append(figure)
                return case
            try:
                return self._with_answer(case, figure, text)
            except OptioneerError as error:
                shell.tell(str(error))

    def _tell_question(self, case: "Case", question: "NextQuestion") -> None:
        from optioneer.reports.asking.questions import now_sentence, question_text

        figures = shell.figures(case.machine.currency)
        typer.echo("")
        typer.echo(
            f"Worth up to {figures.amount(question.worth)}: ask the {question.who}: "
            f"{question_text(case, question.what, question.name)}"
        )
        typer.echo(f"  {now_sentence(question, figures)}")
        typer.echo(f"  Answer: {question.form}.")
        typer.echo("  Enter: leave it open. b: take the last answer back. q: leave.")

    def _with_answer(self, case: "Case", figure: "Figure", text: str) -> "Case":
        from optioneer.study.asking.answer_rules import case_after
        from optioneer.study.asking.conversation import with_word

        after = case_after(case, figure, text)
        if not self._may_replace(case, after, figure):
            return self._left_open(case, figure)
        after = with_word(after, figure, text, date.today())  # noqa: DTZ011 - the day here
        self._written(after)
        self.before.append(case)
        self.settled.append(figure)
        return after

    def _left_open(self, case: "Case", figure: "Figure") -> "Case":
        self.settled.append(figure)
        return case

    def _may_replace(self, case: "Case", after: "Case", figure: "Figure") -> bool:
        """Whether an answer may take the place of what the case says; asked where they clash."""
        from optioneer.reports.asking.questions import clash_sentence

        told = clash_sentence(case, after, figure, shell.figures(case.machine.currency))
        if not told:
            return True
        typer.echo(f"  {told}")
        typer.echo("  Which one counts? n: the new one. Anything else: the one that is there.")
        return _typed_line() == "n"

    def _written(self, case: "Case") -> None:
        from optioneer.files.case.write import write_case

        with shell.last_act():
            write_case(case, self.folder)

    def _taken_back(self, case: "Case") -> "Case":
        if not self.before:
            shell.tell("There is no answer to take back.")
            return case
        earlier = self.before.pop()
        self.settled.pop()
        self._written(earlier)
        return earlier


def _typed_line() -> str | None:
    """One line; none when there are no more."""
    typer.echo("> ", nl=False)
    line = sys.stdin.readline()
    return line.strip() if line else None
