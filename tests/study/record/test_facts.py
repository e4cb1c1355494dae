"""What a record says of itself."""

from optioneer.study.record.facts import Recorded


def test_a_record_is_told_by_its_latest_entry() -> None:
    assert Recorded(heads=("none", "first", "second")).head == "second"
    assert Recorded().head == ""
