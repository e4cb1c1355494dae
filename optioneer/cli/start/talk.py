"""What `optioneer start` asks in the terminal, one question at a time, each with a way out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

import typer

from optioneer.errors import RequestError
from optioneer.files.quote.amounts import readings_of
from optioneer.files.quote.kind_words import kind_meant
from optioneer.model.kinds.kind import NOT_PLACED, OptionKind
from optioneer.model.kinds.usual import usual_kinds
from optioneer.study.start.doubtful_lines import (
    asked_later,
    at_price,
    comes_along,
    is_discount,
    left_out,
    of_kind,
)
from optioneer.study.start.list_lines import Listing, ListLine

T = TypeVar("T", int, str)

STOPPED = "start: stopped before the last answer; nothing was written."

WAYS_OUT = "a number, a word of its kind, m = comes with the machine, s = leave it out, or nothing"


@dataclass
class Talk:
    """A talk in the terminal.

    Parameters
    ----------
    quiet
        Whether nothing is asked.
    asked
        How many questions were asked so far.
    """

    quiet: bool = False
    asked: int = 0

    def text(self, question: str, default: str | None = None, *, needed: str = "") -> str:
        """An answer in words; `default` where it is blank, and where nothing is asked.

        Raises
        ------
        RequestError
            There is nobody to answer.
        """
        if self.quiet:
            if default is None:
                raise RequestError(f"start: {question}? Say it with {needed}.")
            return default
        self.asked += 1
        try:
            found = typer.prompt(question, default=default or "", show_default=bool(default))
        except typer.Abort as error:
            raise RequestError(STOPPED) from error
        answer = str(found).strip()
        return answer if answer or default is not None else self.text(question, needed=needed)

    def one_of(self, question: str, names: Sequence[str], *, needed: str = "") -> str:
        """One of some names, by number or by name."""
        if self.quiet:
            raise RequestError(f"start: {question}? Say it with {needed}.")
        _tell_numbered(names)
        while True:
            answer = self.text(question)
            if answer in names:
                return answer
            if answer.isdigit() and 1 <= int(answer) <= len(names):
                return names[int(answer) - 1]
            typer.echo(f"Type a number from 1 to {len(names)}.")

    def some_of(self, question: str, values: Sequence[T], names: Sequence[str]) -> tuple[T, ...]:
        """Some of several, by their numbers; none where the answer is blank."""
        if not values:
            return ()
        _tell_numbered(names)
        while True:
            words = self.text(f"{question} (numbers; nothing = none)", "").replace(",", " ").split()
            if all(word.isdigit() and 1 <= int(word) <= len(values) for word in words):
                return tuple(values[int(word) - 1] for word in words)
            typer.echo(f"Type numbers from 1 to {len(values)}, with commas between.")

    def day(self, question: str, default: date) -> date:
        """A day."""
        while True:
            answer = self.text(f"{question}, year-month-day", default.isoformat())
            try:
                return date.fromisoformat(answer)
            except ValueError:
                typer.echo(f"'{answer}' is no day; write it like {default.isoformat()}.")

    def amount(self, question: str, usual: float) -> float | None:
        """An amount; none where what is usual is taken."""
        while True:
            answer = self.text(f"{question} (nothing = as usual, {usual:,.0f})", "")
            readings = readings_of(answer).readings
            if not answer:
                return None
            if len(readings) == 1 and readings[0] >= 0:
                return readings[0]
            typer.echo(f"'{answer}' is no amount; write digits, e.g. 1400 or 1400.50.")

    def typed(self, machine: str | None) -> bytes:
        """A list that is typed: the machine first, then options, a name and a price a line.

        Raises
        ------
        RequestError
            There is nobody to type it.
        """
        if self.quiet:
            raise RequestError("start: --yes asks nothing, so name the dealer's list.")
        typer.echo("Type names and prices, e.g. Lathe 42; 118000. Nothing ends the list.")
        if machine:
            names = (k.name for k in usual_kinds().kind if machine in k.machines and k.fit)
            typer.echo(f"What a {usual_kinds().machines[machine].name.lower()} may have: ")
            typer.echo(", ".join(names))
        rows = ["Name;Price"]
        while line := self.text(
            "The machine; its price" if len(rows) == 1 else "Option; price", ""
        ):
            rows.append(line)
        return "\n".join(rows).encode()

    def settled(self, listing: Listing, machine: str) -> Listing:
        """The list with every open line as somebody has settled it, or marked as to be asked."""
        if not self.quiet:
            answers = {line.row: self._line(line, machine) for line in listing.open}
            listing = listing.settled(answers)
        return listing.marked()

    def _line(self, line: ListLine, machine: str) -> ListLine:
        typer.echo(f"\nRow {line.row}: {line.text}, {line.written}")
        if is_discount(line):
            off = self.text("Is it off the price of the machine, y or n", "y")
            return comes_along(line) if off.lower().startswith("y") else left_out(line)
        found = line if line.placed else self._with_kind(line, machine)
        return self._with_price(found) if found.asks and found.role != "left out" else found

    def _with_kind(self, line: ListLine, machine: str) -> ListLine:
        known = usual_kinds().by_id
        candidates = [known[kind] for kind in line.candidates]
        while True:
            _tell_numbered([kind.name for kind in candidates])
            answer = self.text(f"What is it ({WAYS_OUT} = ask later)", "")
            if not answer:
                return asked_later(line)
            if answer in {"s", "m"}:
                return comes_along(line) if answer == "m" else left_out(line)
            if answer.isdigit() and 1 <= int(answer) <= len(candidates):
                return of_kind(line, candidates[int(answer) - 1].id)
            candidates = _kinds_meant(answer, machine)
            if len(candidates) == 1:
                return of_kind(line, candidates[0].id)
            typer.echo("Which of these?" if candidates else f"No kind is known by '{answer}'.")

    def _with_price(self, line: ListLine) -> ListLine:
        while True:
            answer = self.text(f"{line.asks} Its price in all, or nothing = leave it out", "")
            readings = readings_of(answer).readings
            if not answer:
                return at_price(line, None)
            if len(readings) == 1 and readings[0] >= 0:
                return at_price(line, readings[0])
            typer.echo(f"'{answer}' is no amount; write digits, e.g. 4200 or 4200.50.")


def _tell_numbered(names: Sequence[str]) -> None:
    for number, name in enumerate(names, 1):
        typer.echo(f"  {number:>2}  {name}")


def _kinds_meant(answer: str, machine: str) -> list[OptionKind]:
    """Kinds that an answer may name: by id, by its words, or by a part of a name."""
    known = usual_kinds()
    kinds = [kind for kind in known.kind if machine in kind.machines and kind.id != NOT_PLACED]
    exact = [kind for kind in kinds if answer.lower() in {kind.id, kind.name.lower()}]
    told = kind_meant(answer, machine).kind
    part = [kind for kind in kinds if answer.lower() in f"{kind.id} {kind.name}".lower()]
    return (exact or ([known.by_id[told]] if told else part))[:9]
