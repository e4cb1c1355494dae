"""A package put together by hand: what it costs, and what it breaks."""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import literal
from optioneer.app.parts import show
from optioneer.app.session import state, waiting
from optioneer.errors import OptioneerError
from optioneer.files.grid.sheet_list import SHEETS
from optioneer.files.grid.sheets import Edits, with_edits
from optioneer.files.plain.sentences import id_like
from optioneer.model.case import Case
from optioneer.model.catalogue import Option, Slot
from optioneer.model.checks.candidates import fitted, package_faults
from optioneer.model.checks.orderable import Orders
from optioneer.model.machine import Package
from optioneer.reports.advice.pages import package_table
from optioneer.reports.page.money import Figures
from optioneer.reports.page.order import order_lines
from optioneer.study.advice.answers import Advice, PackageAnswer
from optioneer.study.advice.ordered import package_holding

NOTHING = ""
"""The choice of a slot that is left empty."""

OWN = "own"
"""Id of the package put together by hand while nobody has named it."""


def draw(case: Case, advice: Advice, figures: Figures, *, current: bool) -> Package | None:
    """Choose what is on the machine, and show what that means; the package, if it can be had.

    Parameters
    ----------
    case
        The case.
    advice
        The full advice on it, or on what it was before a change just made.
    figures
        How money is said.
    current
        Whether it is the advice on the case as it is.
    """
    st.subheader("Put a package together")
    starts = _starts(case, advice)
    left, right = st.columns([4, 1], vertical_alignment="bottom")
    state.recall(_key("start"), starts.__contains__)
    start = left.selectbox("Start from", list(starts), key=_key("start"), persist_state="session")
    begin = starts[str(start)]
    take = partial(_take_over, case, begin)
    right.button("Take it over", key="take-over", on_click=take, width="stretch")
    if current and not _followed(case, begin):
        st.info(f"'{literal(str(start))}' holds other options by now; 'Take it over' puts them in.")
    above = st.container()  # what the choices below come to, in sight while they are made
    held = frozenset(_chosen(case, begin, figures))
    state.notes({_key("start"): str(start), _key("held"): sorted(held)})
    package = package_holding(case, OWN, held)
    with above:
        sound = _judged(case, package, advice if current else None, figures)
    return package if sound else None


def held_by(case: Case, package: Package) -> tuple[str, ...]:
    """Everything that a package leaves on the machine."""
    return fitted(Orders(case.catalogue), package)


def _key(name: str) -> str:
    return f"own-{state.required_draft().id}-{name}"


def _starts(case: Case, advice: Advice) -> Mapping[str, frozenset[str]]:
    """What every known package holds, by what people call it."""
    orders = Orders(case.catalogue)
    named = {package.name or package.id: package for package in case.packages}
    return {
        "The advice": frozenset(advice.advised.options),
        "The standard machine": frozenset(o.option for o in case.catalogue.standards),
        **{name: frozenset(fitted(orders, package)) for name, package in named.items()},
    }


def _followed(case: Case, begin: frozenset[str]) -> bool:
    """Whether the choices hold what they start from, or were made by hand from just that.

    Choices that nobody has touched since follow when it changes, e.g. when the advice does.
    """
    taken, held = state.noted(_key("taken")), state.noted(_key("held"))
    if taken is not None and taken != sorted(begin):
        if held != taken:
            return False
        _set(case, begin)
    state.note(_key("taken"), sorted(begin))
    return True


def _take_over(case: Case, begin: frozenset[str]) -> None:
    """Put every choice to what a known package holds, and note that nobody has touched it since."""
    _set(case, begin)
    state.notes({_key("taken"): sorted(begin), _key("held"): sorted(begin)})


def _set(case: Case, held: frozenset[str]) -> None:
    """Put every choice to what a known package holds."""
    for slot in case.catalogue.slots:
        inside = [o.option for o in slot.options if o.option in held]
        if len(slot.options) == 1:
            state.set_widget(_key(slot.name), bool(inside))
        else:
            state.set_widget(_key(slot.name), inside[0] if inside else NOTHING)


def _chosen(case: Case, start: frozenset[str], figures: Figures) -> Iterator[str]:
    """Draw a choice a slot; the ids of what is chosen."""
    several = [slot for slot in case.catalogue.slots if len(slot.options) > 1]
    single = [slot for slot in case.catalogue.slots if len(slot.options) == 1]
    columns = st.columns(3)
    for place, slot in enumerate(several):
        with columns[place % 3]:
            found = _one_of(slot, start, figures)
        if found:
            yield found
    columns = st.columns(3)
    for place, slot in enumerate(single):
        option = slot.options[0]
        key = _key(slot.name)
        with columns[place % 3]:
            state.recall(key, lambda held: isinstance(held, bool))
            on = st.checkbox(
                literal(_label(option, figures)),
                value=option.option in start,
                key=key,
                disabled=option.standard and not slot.may_be_empty,
                persist_state="session",
            )
        state.note(key, on)
        if on:
            yield option.option


def _one_of(slot: Slot, start: frozenset[str], figures: Figures) -> str:
    """The option chosen for a slot; '' for none."""
    known = {option.option: _label(option, figures) for option in slot.options}
    choices = [*([NOTHING] if slot.may_be_empty else []), *known]
    inside = [option for option in known if option in start]
    held = inside[0] if inside else choices[0]
    state.recall(_key(slot.name), choices.__contains__)
    chosen = st.selectbox(
        literal(slot.name.replace("-", " ").capitalize()),
        choices,
        index=choices.index(held),
        format_func=lambda option: known.get(option, "nothing"),
        key=_key(slot.name),
        persist_state="session",
    )
    state.note(_key(slot.name), chosen)
    return chosen


def _label(option: Option, figures: Figures) -> str:
    price = "standard" if option.standard else figures.quoted(option.price)
    return f"{option.name}, {price}"


def faults_of_package(case: Case, package: Package) -> list[str]:
    """What a package breaks, in sentences; none when it can be ordered."""
    found = package_faults(case.model_copy(update={"packages": (package,)}))
    return [f"{fault.what[:1].upper()}{fault.what[1:]}. {fault.allowed}".strip() for fault in found]


def _judged(case: Case, package: Package, advice: Advice | None, figures: Figures) -> bool:
    """Price and faults at once, the cost over the horizon soon; whether it can be ordered."""
    held = frozenset(held_by(case, package))
    lines = order_lines(case, held)
    wrong = faults_of_package(case, package)
    price = sum((line.price for line in lines), start=lines[0].price * 0)
    known = None if wrong or advice is None else _valued(case, held)
    left, middle, right = st.columns(3)
    left.metric("Price", figures.quoted(price))
    if known is not None and advice is not None:
        gap = known.npc - advice.advised.npc
        middle.metric("Net present cost", figures.amount(known.npc))
        right.metric("Beyond the advice", figures.amount(gap))
    if wrong:
        st.error("\n\n".join(literal(sentence) for sentence in wrong), icon=":material/block:")
        return False
    with st.expander("How the price adds up, and the figures behind the cost"):
        for line in lines:
            st.markdown(literal(f"{line.what}: {figures.quoted(line.price)}"))
        if known is not None:
            show.show(package_table(known, figures))
    _copy(package)
    return True


def _valued(case: Case, held: frozenset[str]) -> PackageAnswer | None:
    """What the package costs, on all futures of the case."""
    reply = waiting.asked(
        ("package", cached.content(case), held), partial(cached.package, case, held)
    )
    waiting.progress(reply, "Valuing the package")
    answer: PackageAnswer | None = reply.answer
    return answer


def _copy(package: Package) -> None:
    """Name the package and put it among the candidates of the case."""
    left, right = st.columns([3, 1], vertical_alignment="bottom")
    name = left.text_input(
        "Name it to keep it among the packages of the case", key=_key("name"), max_chars=80
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
        state.tell(str(error))
        return
    state.put_texts(texts, redraw=True)
    state.set_widget(_key("name"), "")
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
