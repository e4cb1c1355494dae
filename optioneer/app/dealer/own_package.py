"""A package of one's own beside the known ones: what it costs, and what it breaks."""

from collections.abc import Mapping, Sequence
from functools import partial

import streamlit as st

from optioneer.app.dealer import matrix
from optioneer.app.dealer.ticks import Clash, clashes
from optioneer.app.engine import cached
from optioneer.app.engine.words import literal
from optioneer.app.parts import fold, show
from optioneer.app.session import state, waiting
from optioneer.errors import OptioneerError
from optioneer.files.grid.sheet_list import SHEETS
from optioneer.files.grid.sheets import Edits, with_edits
from optioneer.files.plain.sentences import id_like
from optioneer.model.case import Case
from optioneer.model.checks.candidates import everything_fitted, package_faults
from optioneer.model.checks.compatibility import Orders
from optioneer.model.machine import Package
from optioneer.reports.advice.pages import package_table
from optioneer.reports.page.money import Figures
from optioneer.reports.page.order import order_lines
from optioneer.study.advice.answers import Advice, PackageAnswer
from optioneer.study.worth.packages import package_holding

OWN = "own"
"""Id of the package put together by hand while nobody has named it."""


def draw(
    case: Case, advice: Advice, quotes: Sequence[Case], figures: Figures, *, current: bool
) -> Package | None:
    """Tick what is on the machine, and show what that means; the package, if it can be had.

    Parameters
    ----------
    advice
        The full advice on it, or on what it was before a change just made.
    quotes
        Other dealers' quotes.
    figures
        How money is said.
    current
        Whether it is the advice on the case as it is.
    """
    begin = _begun(case, advice, current=current)
    ticked = matrix.ticks(begin) & case.catalogue.by_id.keys()
    package, found = package_holding(case, OWN, ticked), clashes(case, ticked)
    with st.container(key="pinned"):  # in sight while ticks are made below
        sound, known = _judge(case, package, advice if current else None, figures, found)
        if found:
            matrix.cure(ticked, found)
    columns = matrix.columns_of(case, advice, quotes)
    few = st.toggle("Only where they differ", key="differ", persist_state="session")
    options = list(case.catalogue.by_id)
    shown = matrix.differing(columns, options) if few else options
    rows = matrix.matrix_rows(case, advice, columns, found, figures)
    if shown:
        matrix.draw(case, rows, shown, ticked, list(columns))
    else:
        st.info("All of them say the same of every option.")
    if sound:
        _sums(case, package, known, figures)
        _copy(package)
    return package if sound else None


def _sums(case: Case, package: Package, known: PackageAnswer | None, figures: Figures) -> None:
    """How the price adds up, and every figure of the cost."""
    held = frozenset(held_by(case, package))
    with fold.under("How the price adds up, and the figures behind the cost", "sums"):
        for line in order_lines(case, held):
            st.markdown(literal(f"{line.what}: {figures.quoted(line.price)}"))
        if known is not None:
            show.show(package_table(known, figures))


def _begun(case: Case, advice: Advice, *, current: bool) -> frozenset[str]:
    """What the ticks start from, with a button that goes back to it."""
    starts = _starts(case, advice)
    left, right = st.columns([4, 1], vertical_alignment="bottom")
    state.recall(matrix.key("start"), starts.__contains__)
    start = left.selectbox(
        "Start from", list(starts), key=matrix.key("start"), persist_state="session"
    )
    begin = starts[str(start)]
    take = partial(_take_over, begin)
    right.button("Take it over", key="take-over", on_click=take, width="stretch")
    if current and not _follows(begin):
        st.info(f"'{literal(str(start))}' holds other options by now; 'Take it over' puts them in.")
    state.note(matrix.key("start"), str(start))
    return begin


def held_by(case: Case, package: Package) -> tuple[str, ...]:
    """Everything that a package leaves on the machine."""
    return everything_fitted(Orders(case.catalogue), package)


def _starts(case: Case, advice: Advice) -> Mapping[str, frozenset[str]]:
    """What every known package holds, by what people call it."""
    orders = Orders(case.catalogue)
    named = {package.name or package.id: package for package in case.packages}
    return {
        "The advice": frozenset(advice.advised.options),
        "The standard machine": frozenset(o.option for o in case.catalogue.standards),
        **{name: frozenset(everything_fitted(orders, package)) for name, package in named.items()},
    }


def _follows(begin: frozenset[str]) -> bool:
    """Whether the ticks hold what they start from, or were made by hand from just that.

    Ticks that nobody has touched since follow when it changes, e.g. when the advice does.
    """
    taken, held = state.last_note(matrix.key("taken")), state.last_note(matrix.key("held"))
    if taken is not None and taken != sorted(begin):
        if held != taken:
            return False
        matrix.set_ticks(begin)
    state.note(matrix.key("taken"), sorted(begin))
    if held is None:
        state.note(matrix.key("held"), sorted(begin))
    return True


def _take_over(begin: frozenset[str]) -> None:
    """Tick what a known package holds, and note that nobody has touched it since."""
    matrix.set_ticks(begin)
    state.note(matrix.key("taken"), sorted(begin))


def faults_of_package(case: Case, package: Package) -> list[str]:
    """What a package breaks, in sentences; none when it can be ordered."""
    found = package_faults(case.model_copy(update={"packages": (package,)}))
    return [f"{fault.what[:1].upper()}{fault.what[1:]}. {fault.allowed}".strip() for fault in found]


def _judge(
    case: Case,
    package: Package,
    advice: Advice | None,
    figures: Figures,
    found: Sequence[Clash],
) -> tuple[bool, PackageAnswer | None]:
    """Price and faults at once, cost and outcome soon; whether it can be ordered."""
    held = frozenset(held_by(case, package))
    lines = order_lines(case, held)
    wrong = [_clash_sentence(case, clash) for clash in found] or faults_of_package(case, package)
    price = sum((line.price for line in lines), start=lines[0].price * 0)
    row, below = st.container(horizontal=True, gap="medium"), st.container()
    with below:
        known = None if wrong or advice is None else _package_answer(case, held)
    with row:
        st.metric("Price", figures.quoted(price), width="content")
        if known is not None and advice is not None:
            gap = known.npc - advice.advised.npc
            st.metric("Net present cost", figures.amount(known.npc), width="content")
            st.metric("Beyond the advice", figures.amount(gap), width="content")
            mean = figures.amount(known.outcome.mean)
            st.metric("Outcome on average", mean, width="content")
    if wrong:
        below.error("\n\n".join(literal(sentence) for sentence in wrong), icon=":material/block:")
        return False, None
    return True, known


def _clash_sentence(case: Case, clash: Clash) -> str:
    return f"{case.catalogue.by_id[clash.option].name} {clash.said}."


def _package_answer(case: Case, held: frozenset[str]) -> PackageAnswer | None:
    """What the package costs, on all futures of the case."""
    reply = waiting.reply_to(
        ("package", cached.content(case), held), partial(cached.package, case, held)
    )
    waiting.progress(reply, "Valuing the package")
    answer: PackageAnswer | None = reply.answer
    return answer


def _copy(package: Package) -> None:
    """Name the package and put it among the candidates of the case."""
    left, right = st.columns([3, 1], vertical_alignment="bottom")
    name = left.text_input(
        "Name it to keep it among the packages of the case", key=matrix.key("name"), max_chars=80
    )
    right.button(
        "Copy to the packages",
        key="copy-package",
        disabled=not name.strip(),
        on_click=partial(copy_package, package, name),
        width="stretch",
    )


def copy_package(package: Package, name: str) -> None:
    """Put a package among the candidates of the case that is open, under a name of its own."""
    draft = state.required_draft()
    read = state.read()
    taken = [] if read.case is None else [known.id for known in read.case.packages]
    row = {
        "id": free_id(id_like(name), taken),
        "name": " ".join(name.split()),
        "options": "; ".join(package.options),
        "without": "; ".join(package.without),
    }
    try:
        texts = with_edits(SHEETS["packages"], draft.texts, Edits(added=[row]))
    except OptioneerError as error:
        state.tell(show.sentence_of(error))
        return
    state.put_texts(texts, redraw=True)
    state.set_widget(matrix.key("name"), "")
    state.tell(f"{row['name']} is now among the packages of the case.")


def free_id(wanted: str, taken: Sequence[str]) -> str:
    """The id wanted, with a number behind it where it is taken.

    Examples
    --------
    >>> free_id("lean", ["lean", "lean-2"])
    'lean-3'
    """
    names = [wanted, *(f"{wanted}-{number}" for number in range(2, len(taken) + 3))]
    return next(name for name in names if name not in taken)
