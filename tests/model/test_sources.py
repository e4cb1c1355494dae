"""Every figure of a case is quoted, told, usual, computed or invented, or nobody has said."""

from datetime import date

import pytest

from optioneer.errors import RequestError
from optioneer.files.case.read import reading_of
from optioneer.files.case.starter import starter_text
from optioneer.files.saving.commit import NAMES
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.checks.consistency import notes
from optioneer.model.sources import (
    all_recorded,
    disagreements,
    figures,
    origins,
    rests,
    with_source,
)
from tests.oracle.cases import between, case_of, stream

DAY = date(2027, 1, 15)


def case() -> Case:
    probe = Option.model_validate(
        {"option": "probe", "name": "Probe", "kind": "probe", "price": 5000.0}
    )
    return case_of([probe], [stream("tight", between(0, 1, 2), 9e3, ["probe"], chance=0.4)])


def with_chance(known: Case, chance: float) -> Case:
    (work,) = known.growth.stream
    moved = (work.model_copy(update={"chance": chance}),)
    growth = known.growth.model_copy(update={"stream": moved})
    return known.model_copy(update={"growth": growth})


def test_a_case_knows_its_figures_by_key() -> None:
    found = figures(case())
    assert found["machine/base_price"] == "100000"
    assert found["option/probe/multiplier"] == "1.1; 1.5; 2.5"
    assert found["stream/tight/years"] == "0; 1; 2"
    assert found["stream/tight/chance"] == "0.4"
    assert "growth/seed" not in found
    assert "option/probe/floor_m2" not in found, "left at its default"


def test_what_is_as_usual_for_its_kind_says_so() -> None:
    found = origins(case())
    assert found["option/probe/multiplier"] == "usual"
    assert found["option/probe/upkeep_per_year"] == "usual"
    assert found["option/probe/price"] == "unsaid"


def test_a_word_counts_for_the_figure_that_was_said_and_no_other() -> None:
    told = with_source(case(), "stream/tight/chance", who="owner", day=DAY)
    assert origins(told)["stream/tight/chance"] == "told"
    assert origins(with_chance(told, 0.5))["stream/tight/chance"] == "unsaid"
    assert origins(with_chance(told, 0.4))["stream/tight/chance"] == "told"


def test_a_figure_at_its_default_can_be_told_too() -> None:
    told = with_source(case(), "stream/tight/fallback", who="owner")
    assert origins(told)["stream/tight/fallback"] == "told"
    assert "stream/tight/fallback" not in origins(case())


def test_a_figure_that_is_not_there_is_refused() -> None:
    with pytest.raises(RequestError, match="no figure 'stream/tigh/chance'"):
        with_source(case(), "stream/tigh/chance")


def test_words_that_differ_stand_side_by_side() -> None:
    first = with_source(case(), "stream/tight/chance", who="owner", day=DAY)
    second = with_source(with_chance(first, 0.7), "stream/tight/chance", who="customer")
    found = disagreements(second)
    assert [(one.who, one.value) for one in found["stream/tight/chance"]] == [
        ("owner", "0.4"),
        ("customer", "0.7"),
    ]
    note = next(one for one in notes(second) if "words differ" in str(one))
    assert "0.4 (owner on 2027-01-15), 0.7 (customer)" in str(note)
    assert "The case has 0.7." in str(note)


def test_what_is_the_last_word_already_is_not_said_again() -> None:
    told = with_source(case(), "stream/tight/chance", who="owner", day=DAY)
    assert with_source(told, "stream/tight/chance", who="owner", day=DAY) == told


def test_a_new_quote_takes_the_place_of_the_one_before() -> None:
    first = with_source(case(), "option/probe/price", source="quoted", who="a.csv")
    second = with_source(
        first.model_copy(
            update={"catalogue": Catalogue(options=(first.catalogue.options[0].priced(4000.0),))}
        ),
        "option/probe/price",
        source="quoted",
        who="b.csv",
    )
    assert disagreements(second) == {}
    assert origins(second)["option/probe/price"] == "quoted"


def test_what_a_case_rests_on_adds_up_to_all_of_it() -> None:
    told = with_source(case(), "stream/tight/margin", who="owner")
    told = with_source(told, "machine/base_price", source="quoted")
    found = rests(told)
    assert sum(rest.figures for rest in found.values()) == len(figures(told))
    assert found["quoted"].prices == 100e3
    assert found["unsaid"].prices == 5e3
    assert found["told"].margins == pytest.approx(0.4 * 9e3)


def test_somebody_may_change_their_mind() -> None:
    first = with_source(case(), "stream/tight/chance", who="owner", day=DAY)
    again = with_source(with_chance(first, 0.7), "stream/tight/chance", who="owner")
    assert disagreements(again) == {}
    assert len(again.sources or ()) == 2, "both words stay"


def test_who_said_a_figure_does_not_change_the_purchase() -> None:
    told = all_recorded(case(), list(figures(case())), source="quoted", day=DAY)
    assert told.fingerprint == case().fingerprint


def test_the_starter_says_of_every_figure_that_it_is_an_example() -> None:
    starter = reading_of("starter", {name: starter_text(name) for name in NAMES})
    assert set(origins(starter.case).values()) == {"example"}
    assert any("are invented examples" in str(note) for note in starter.notices)


def test_an_example_that_is_replaced_is_none() -> None:
    texts = {name: starter_text(name) for name in NAMES}
    assert "base_price = 98500" in texts["machine.toml"]
    texts["machine.toml"] = texts["machine.toml"].replace(
        "base_price = 98500", "base_price = 97000"
    )
    found = origins(reading_of("starter", texts).case)
    assert found["machine/base_price"] == "unsaid"
    assert found["machine/margin_per_day"] == "example"


def test_an_option_that_nobody_has_placed_is_told() -> None:
    thing = Option.model_validate(
        {"option": "x", "name": "X", "kind": "to-be-asked", "price": 100.0}
    )
    known = case()
    more = Catalogue(options=(*known.catalogue.options, thing))
    told = notes(known.model_copy(update={"catalogue": more}))
    assert any("nobody has said yet what it is" in str(note) for note in told)
