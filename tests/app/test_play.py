"""The owner's page: strips along a driver, years of retrofits, settings kept under names."""

from datetime import date

import pytest

from optioneer.app.engine import cached
from optioneer.app.engine.drafts import Store
from optioneer.app.play.pairs import whole_pair
from optioneer.app.play.settings_kept import comparison_tables
from optioneer.app.play.when_fitted import timeline
from optioneer.files.case.read import reading_of
from optioneer.model.case import Case
from optioneer.reports.page.money import Figures
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.advice.retrofits import ALL, Band
from optioneer.study.problem.effort import Progress
from optioneer.study.worth.changes import Asked, with_changes
from optioneer.study.worth.figures import Figure
from tests.app.test_pages import owner_page
from tests.app.visits import current, draft_of, settled, small_mill, texts_of, visit
from tests.app.walks import LOADED
from tests.cases_as_texts import few

EUROS = Figures("EUR")


def test_the_owner_sees_strips_and_years_and_keeps_a_setting_to_come_back_to() -> None:
    test = visit(owner_page, draft_of(few(small_mill(), *LOADED)))
    told = texts_of(settled(settled(test))).replace("\\", "")
    assert "Which verdict holds where" in told
    assert "fitted in year" in told
    slider = test.slider[0]
    slider.set_value(2.0).run()
    settled(test)
    box = next(each for each in test.text_input if each.label.startswith("Name this setting"))
    box.set_value("Busy years").run()
    test.button(key="setting-keep").click().run()
    settled(settled(test))
    test.button(key="reset").click().run()
    told = texts_of(settled(settled(test))).replace("\\", "")
    assert "Verdicts that differ" in told
    assert test.slider[0].value == 0.0
    test.button(key="setting-go-0").click().run()
    assert test.slider[0].value == 2.0
    (kept,) = Store().desk(current(test).id)["settings"]
    assert kept["name"] == "Busy years"
    test.button(key="setting-no-0").click().run()
    assert Store().desk(current(test).id)["settings"] == []
    assert not test.exception


def test_settings_side_by_side_tell_what_is_not_the_same() -> None:
    case = reading_of("small-mill", small_mill()).case
    busy = with_changes(case, (Asked(Figure("nudge", case.growth.driver[0].id), 2.0),))[0]
    advices = {"As it is": advice(AdviceRequest(case)), "Busy": advice(AdviceRequest(busy))}
    costs, verdicts = comparison_tables(case, advices, EUROS)
    assert costs.rows[0][1:] == tuple(EUROS.quoted(one.advised.price) for one in advices.values())
    pairs = zip(*(one.options for one in advices.values()), strict=True)
    differ = [first.option for first, second in pairs if first.verdict != second.verdict]
    assert [row[0] for row in verdicts.rows] == [case.catalogue.by_id[o].name for o in differ]
    assert differ


def test_years_are_cells_with_their_chance_the_likeliest_option_first() -> None:
    case = reading_of("small-mill", small_mill()).case
    first, second = case.catalogue.options[2:4]
    years = [(date(2028, 1, 1), date(2029, 1, 1)), (date(2029, 1, 1), date(2030, 1, 1))]
    bands = [
        Band(*years[0], ALL, 0.9, 0, 0, 0, 0),
        Band(*years[0], first.option, 0.1, 0, 0, 0, 0),
        Band(*years[1], second.option, 0.5, 0, 0, 0, 0),
    ]
    html = timeline(case, bands, EUROS)
    assert html.index(second.name) < html.index(first.name)
    assert html.count("color-mix") == 2
    assert "10%" in html
    assert "90%" not in html


@pytest.mark.parametrize(("known", "shares"), [("before", [0.1]), ("nothing", [0.05, 0.55])])
def test_work_of_which_half_is_known_is_not_told_as_half_done(
    known: str, shares: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else it passes for nearly done and is not stopped as the slider moves on."""
    case = reading_of("small-mill", small_mill()).case
    busy = with_changes(case, (Asked(Figure("nudge", case.growth.driver[0].id), 2.0),))[0]
    answer, heard = advice(AdviceRequest(case)), list[float]()

    def told(asked: Case, progress: Progress) -> Advice:
        if asked is busy or known == "nothing":
            progress(0.1)
        return answer

    monkeypatch.setattr(cached, "advice", told)
    whole_pair(case, busy, heard.append)
    assert heard == pytest.approx(shares)
