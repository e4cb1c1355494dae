"""The face of the library: what its docstring promises runs, and importing it stays light."""

import doctest
import subprocess
import sys

import optioneer


def test_the_example_of_the_library_runs() -> None:
    failed, tried = doctest.testmod(optioneer)
    assert tried > 5
    assert failed == 0


def test_every_name_of_the_face_is_there_under_its_own_name() -> None:
    for name in optioneer.__all__:
        assert getattr(optioneer, name).__name__ == name
        assert getattr(optioneer, name).__doc__


def test_a_name_that_is_not_of_the_face_is_no_attribute() -> None:
    assert not hasattr(optioneer, "npv")
    assert sorted(dir(optioneer)) == sorted([*optioneer.__all__, "__version__"])


def test_importing_the_library_imports_nothing_heavy() -> None:
    heavy = "numpy scipy pandas pydantic streamlit altair"
    code = f"import sys, optioneer; sys.exit(any(m in sys.modules for m in {heavy.split()}))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
