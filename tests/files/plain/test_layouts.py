"""Cases in every form that TOML allows are changed in that form."""

from collections.abc import Callable
from pathlib import Path

import pytest

from optioneer.files.case.read import read_case
from optioneer.files.case.write import write_case
from optioneer.files.plain.toml_layout import updated
from optioneer.files.plain.toml_values import Shape
from optioneer.model.case import Case
from tests.files.folders import starter

INLINE = """\
# inline
machine = { name = "m", kind = "k", base_price = 1000, currency = "EUR", margin_per_day = 2 } # one
dates = { order = 2027-02-01 }
call_out = { default = 5, controls = 6 }
bundle = [ { id = "b", options = ["auto-door", "work-probe"], discount = 3 } ]
"""
DOTTED = """\
machine.name = "m"
machine.base_price = 1000 # base
dates.order = 2027-02-01
machine.kind = "k"
machine.currency = "EUR"
machine.margin_per_day = 2
call_out.default = 5
call_out.controls = 6
"""
SPACED = """\
[ "machine" ]
"name" = "m"
kind = 'k'
base_price = 1_000 # base
currency = "EUR"
margin_per_day = 2e0
[dates]# dates
order = 2027-02-01
[call_out]
default=5
"controls"=6
[[ bundle ]]
id="b"
options=["auto-door", "work-probe"]
discount=3
[[bundle]]
id="c"
options=["auto-door", "tool-setter"]
discount=3"""
FORMS = {"inline": INLINE, "dotted": DOTTED, "spaced": SPACED}


def dearer(case: Case) -> Case:
    machine = case.machine.model_copy(update={"base_price": 1007.25, "resale_share": 0.5})
    return case.model_copy(update={"machine": machine})


def one_visit_more(case: Case) -> Case:
    visits = {"default": 8.5, "controls": 6.0, "extra": 1.0}
    return case.model_copy(update={"call_outs": visits})


def without_the_first_bundle(case: Case) -> Case:
    return case.model_copy(update={"bundles": case.bundles[1:]})


def one_bundle_more(case: Case) -> Case:
    more = [bundle.model_copy(update={"id": "z"}) for bundle in case.bundles[:1]]
    return case.model_copy(update={"bundles": (*case.bundles, *more)})


def with_a_lead(case: Case) -> Case:
    return case.model_copy(update={"dates": case.dates.model_copy(update={"lead": 0.5})})


CHANGES = [dearer, one_visit_more, without_the_first_bundle, one_bundle_more, with_a_lead]


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("change", CHANGES)
def test_a_change_is_read_back_and_every_remark_stays(
    tmp_path: Path, form: str, change: Callable[[Case], Case]
) -> None:
    folder = starter(tmp_path)
    (folder / "machine.toml").write_text(FORMS[form], encoding="utf-8")
    wanted = change(read_case(folder))
    write_case(wanted, folder)
    assert read_case(folder) == wanted
    text = (folder / "machine.toml").read_text(encoding="utf-8")
    remarks = [line.partition("#")[2] for line in FORMS[form].splitlines() if "#" in line]
    assert [remark for remark in remarks if f"#{remark}" not in text] == []


def test_a_table_inside_a_list_may_have_its_own_heading() -> None:
    text = '[[stream]]\nid = "a"\n[stream.drivers] # loadings\nauto = 0.5 # half\n'
    wanted = {"stream": [{"id": "a", "drivers": {"auto": 0.25, "size": 0.5}}]}
    assert updated(text, wanted, Shape(tables={"stream": Shape()})) == (
        '[[stream]]\nid = "a"\n[stream.drivers] # loadings\nauto = 0.25 # half\nsize = 0.5\n'
    )


def test_new_keys_come_above_the_remarks_that_end_a_table() -> None:
    text = "[dates]\norder = 1\n# lead = 0.4\n\n# about b\n[b]\nx = 1\n"
    wanted = {"dates": {"order": 1, "lead": 0.5}, "b": {"x": 1}}
    assert updated(text, wanted, Shape(tables={"dates": Shape(), "b": Shape()})) == (
        "[dates]\norder = 1\nlead = 0.5\n# lead = 0.4\n\n# about b\n[b]\nx = 1\n"
    )


def test_a_text_without_a_last_line_end_is_continued_on_a_new_line() -> None:
    known = Shape(tables={"a": Shape(), "b": Shape()})
    assert updated("[a]\nx = 1", {"a": {"x": 1}, "b": {"y": 2}}, known) == (
        "[a]\nx = 1\n\n[b]\ny = 2\n"
    )
