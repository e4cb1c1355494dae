"""Flags of the test run."""

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--rewrite-golden",
        action="store_true",
        help="rewrite the golden texts from what the faces say now; read the diff before commit",
    )
