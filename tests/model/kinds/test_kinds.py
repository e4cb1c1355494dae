"""The file of kinds: whole, wide on purpose, every figure with its reason."""

import re
from itertools import combinations
from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.model.catalogue import Option
from optioneer.model.fact import Triangular
from optioneer.model.kinds.kind import LANGUAGES, NOT_PLACED, OptionKind, UsualStream
from optioneer.model.kinds.usual import kinds_of, usual_figures, usual_kinds

KINDS = usual_kinds()
OPTIONS = [kind for kind in KINDS.kind if not kind.charge]
NO_WORK = {"paint", NOT_PLACED}
"""Kinds that no work asks for: taste, and what nobody knows."""


def text() -> str:
    place = Path(__file__).parents[3] / "optioneer/model/kinds/kinds.toml"
    return place.read_text(encoding="utf-8")


def test_there_is_a_kind_for_most_that_a_dealer_lists() -> None:
    assert len(OPTIONS) >= 60
    assert {"mill", "lathe", "mill-turn"} == set(KINDS.machines)


def reason(kind: OptionKind, field: str) -> str:
    """Why a figure of a kind is as it is, in the words of the file."""
    assert kind.fit is not None
    assert kind.keep is not None
    fit, keep = KINDS.fit[kind.fit], KINDS.keep[kind.keep]
    return {
        "fitting": fit.why,
        "multiplier": fit.why_multiplier,
        "downtime_days": fit.why_days,
        "upkeep_per_year": keep.why,
        "resale_share": keep.why,
        "kva": kind.why_load,
        "air_l_min": kind.why_load,
    }.get(field, "")


@pytest.mark.parametrize("kind", OPTIONS, ids=lambda kind: kind.id)
def test_every_figure_of_a_kind_has_a_reason(kind: OptionKind) -> None:
    for field, value in usual_figures(kind.id, 1000.0).items():
        said = field == "fitting" and value == "retrofittable"  # the multiplier says how
        assert value in (0.0, None) or said or len(reason(kind, field)) > 10, field


@pytest.mark.parametrize("kind", OPTIONS, ids=lambda kind: kind.id)
def test_an_option_needs_no_more_than_its_kind_and_price(kind: OptionKind) -> None:
    made = Option.model_validate({"option": "it", "name": "It", "kind": kind.id, "price": 4000.0})
    assert made.retrofittable == (made.multiplier is not None)
    assert made.resale_share == usual_figures(kind.id, 4000.0)["resale_share"]


@pytest.mark.parametrize("kind", [k for k in KINDS.kind if k.id != NOT_PLACED], ids=lambda k: k.id)
def test_a_kind_is_known_by_words_of_every_language(kind: OptionKind) -> None:
    assert set(kind.words) == set(LANGUAGES)


def test_no_phrase_names_two_kinds() -> None:
    seen: dict[tuple[str, ...], str] = {}
    for kind in KINDS.kind:
        for phrase in kind.phrases:
            words = tuple(sorted(phrase.split()))
            assert seen.setdefault(words, kind.id) == kind.id, phrase


def test_ranges_are_wide_on_purpose() -> None:
    for name, fit in KINDS.fit.items():
        if fit.multiplier is not None:
            assert fit.multiplier.high >= 1.3 * fit.multiplier.low, name
    for stream in KINDS.stream:
        assert stream.margin.high >= 2.5 * stream.margin.low, stream.id


def test_every_kind_is_wanted_by_some_work() -> None:
    wanted = {kind for stream in KINDS.stream for way in stream.way for kind in way.kinds}
    needed = {need for kind in OPTIONS for need in kind.needs}
    assert {kind.id for kind in OPTIONS} - wanted - needed == NO_WORK


@pytest.mark.parametrize("stream", KINDS.stream, ids=lambda stream: stream.id)
def test_a_way_earns_more_than_none_and_less_with_less(stream: UsualStream) -> None:
    assert all(way.share > stream.fallback for way in stream.way)
    for one, other in combinations(stream.way, 2):
        if set(one.kinds) < set(other.kinds):
            assert one.share <= other.share, (one, other)


def test_a_stream_asks_only_for_kinds_that_its_machines_may_have() -> None:
    for stream in KINDS.stream:
        for machine in stream.machines:
            may = [
                w for w in stream.way if all(machine in KINDS.by_id[k].machines for k in w.kinds)
            ]
            assert may, (stream.id, machine)


def test_chances_are_chances() -> None:
    for stream in KINDS.stream:
        assert 0 <= stream.chance.low <= stream.chance.high <= 1


def test_blank_figures_of_an_option_are_those_of_its_kind_and_told_ones_stay() -> None:
    told = {"option": "probe", "name": "Probe", "kind": "probe", "price": 5000.0}
    assert Option.model_validate(told).multiplier == KINDS.fit["plugged-in"].multiplier
    assert Option.model_validate(told).upkeep_per_year == 200.0
    own = Option.model_validate({**told, "downtime_days": 0.0, "upkeep_per_year": 0.0})
    assert (own.downtime_days, own.upkeep_per_year) == (0.0, 0.0)


def test_what_can_only_be_built_in_by_word_of_the_dealer_has_no_multiplier() -> None:
    raw = {"option": "p", "name": "P", "kind": "probe", "price": 1.0, "fitting": "factory-only"}
    assert Option.model_validate(raw).multiplier is None


def test_what_can_be_fitted_later_against_the_kind_needs_a_multiplier_of_its_own() -> None:
    raw = {"option": "s", "name": "S", "kind": "sub-spindle", "price": 1.0}
    assert Option.model_validate({**raw, "fitting": "retrofittable"}).multiplier is None


def test_upkeep_that_is_usual_follows_a_new_price() -> None:
    raw = {"option": "p", "name": "P", "kind": "probe", "price": 5000.0}
    assert Option.model_validate(raw).priced(4000.0).upkeep_per_year == 160.0
    own = Option.model_validate({**raw, "upkeep_per_year": 99.0})
    assert own.priced(4000.0).upkeep_per_year == 99.0


def test_an_unknown_kind_is_refused_with_the_nearest() -> None:
    with pytest.raises(ValueError, match="there is no kind 'probes' of option"):
        Option.model_validate({"option": "p", "name": "P", "kind": "probes", "price": 1.0})


BROKEN = {
    "no TOML": ("doubtful = [", "doubtful = ", "kinds.toml: is no TOML"),
    "a kind that is not there": ('needs = ["driven-tools"]', 'needs = ["no-such"]', "'no-such'"),
    "an id twice": ('id = "tailstock"', 'id = "sub-spindle"', "'sub-spindle' is used twice"),
    "a figure without a reason": ('why_multiplier = "A key', 'x = "A key', "fit, software"),
    "a load without a reason": ('why_load = "One more axis drive."', "", "load of 'y-axis'"),
    "a range upside down": ("[1.8, 2.8, 5.0]", "[2.8, 1.8, 5.0]", "fit, built-in, multiplier"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_file_mended_wrongly_is_refused_in_a_sentence(name: str) -> None:
    found, instead, sentence = BROKEN[name]
    assert found in text()
    with pytest.raises(CaseError) as error:
        kinds_of(text().replace(found, instead, 1))
    assert any(sentence in str(fault) for fault in error.value.faults), error.value.faults


def test_a_figure_can_be_mended() -> None:
    mended = kinds_of(text().replace("multiplier = [1.0, 1.2, 2.0]", "multiplier = [1.1, 1.3, 2]"))
    assert mended.fit["software"].multiplier == Triangular(low=1.1, likely=1.3, high=2.0)


def test_words_are_written_as_lines_are_compared() -> None:
    for kind in KINDS.kind:
        assert all(re.fullmatch(r"[a-z0-9* ]+", phrase) for phrase in kind.phrases)
