"""What can be ordered, against enumeration of every package."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.checks.compatibility import MOST_STEPS, Orders, TooTangledError

IDS = ("a", "b", "c", "d", "e", "f", "g")

# Strategies are made once: making one takes longer than drawing from it.
NAMES = st.lists(st.sampled_from(IDS), max_size=2, unique=True)
SLOTS = {name: st.sampled_from(["s1", "s2", "s3", f"own-{name}"]) for name in IDS}
COUNT, EITHER = st.integers(2, len(IDS)), st.booleans()


def option(name: str, **more: object) -> Option:
    raw = {"option": name, "name": name, "price": 1.0, "fitting": "factory-only"}
    return Option.model_validate(raw | more)


@st.composite
def catalogues(draw: st.DrawFn) -> Catalogue:
    """Small catalogues full of requirements and exclusions, standards some of which must stay."""
    options = []
    standard_slots: set[str] = set()
    for name in IDS[: draw(COUNT)]:
        slot = draw(SLOTS[name])
        standard = slot not in standard_slots and draw(EITHER)
        standard_slots |= {slot} if standard else set()
        more: dict[str, object] = {"slot": slot, "standard": standard}
        more |= {"requires": tuple(draw(NAMES)), "excludes": tuple(draw(NAMES))}
        credit = 0.0 if standard and draw(EITHER) else None
        options.append(option(name, **more, delete_credit=credit))
    return Catalogue(options=tuple(options))


def packages(catalogue: Catalogue) -> list[set[str]]:
    """Every package that is allowed, by trying one option or none in each slot."""
    choices = [
        [o.option for o in slot.options] + ([""] if slot.may_be_empty else [])
        for slot in catalogue.slots
    ]
    tried = ({name for name in chosen if name} for chosen in product(*choices))
    return [fitted for fitted in tried if allowed(catalogue, fitted)]


def allowed(catalogue: Catalogue, fitted: set[str]) -> bool:
    known = catalogue.by_id
    return all(
        {n for n in known[name].requires if n in known} <= fitted
        and not (set(known[name].excludes) - {name}) & fitted
        for name in fitted
    )


@settings(max_examples=300)
@given(catalogues(), st.sets(st.sampled_from(IDS), max_size=3))
def test_options_can_be_ordered_together_when_some_allowed_package_holds_them(
    catalogue: Catalogue, wanted: set[str]
) -> None:
    wanted &= catalogue.by_id.keys()
    held = any(wanted <= fitted for fitted in packages(catalogue))
    assert (Orders(catalogue).conflict(sorted(wanted)) is None) == held


@given(catalogues(), st.data())
def test_a_package_breaks_a_rule_unless_it_is_one_of_those_allowed(
    catalogue: Catalogue, data: st.DataObject
) -> None:
    fitted = data.draw(st.sets(st.sampled_from(sorted(catalogue.by_id))))
    assert (Orders(catalogue).breach(sorted(fitted)) is None) == (fitted in packages(catalogue))


def test_the_reason_names_what_was_required_on_the_way() -> None:
    catalogue = Catalogue(
        options=(
            option("a", requires=("b",)),
            option("b", requires=("c",)),
            option("c", excludes=("a",)),
        )
    )
    conflict = Orders(catalogue).conflict(["a"])
    assert conflict is not None
    assert conflict.why == "'c' (required by 'b') excludes 'a'"


def test_five_hundred_entangled_options_are_decided_in_few_steps() -> None:
    def entangled(number: int) -> Option:
        slot = number // 2
        return option(
            f"o{number}",
            slot=f"s{slot}",
            standard=number % 2 == 0,
            requires=(f"o{number - 1}",) if number % 4 == 3 else (),
            excludes=(f"o{(number * 7 + 2) % 500}",) if number % 4 == 1 else (),
        )

    orders = Orders(Catalogue(options=tuple(entangled(number) for number in range(500))))
    found = [orders.conflict([f"o{number}"]) for number in range(500)]
    assert any(conflict is None for conflict in found)
    assert MOST_STEPS - orders.steps < MOST_STEPS / 4


def test_a_search_that_would_not_end_gives_up_with_a_word() -> None:
    """Ten pigeons in nine holes: each slot holds one of nine, and no two may hold the same."""
    options = tuple(
        option(
            f"p{pigeon}-h{hole}",
            slot=f"p{pigeon}",
            standard=hole == 0,
            excludes=tuple(f"p{other}-h{hole}" for other in range(pigeon)),
        )
        for pigeon in range(10)
        for hole in range(9)
    )
    orders = Orders(Catalogue(options=options))
    with pytest.raises(TooTangledError):
        orders.conflict(["p0-h0"])
