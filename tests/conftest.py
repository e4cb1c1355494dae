"""Flags of the test run, and one thread for products of matrices: the tests fill the cores."""

import os

import pytest

for library in ("OPENBLAS", "MKL", "OMP"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--rewrite-golden",
        action="store_true",
        help="rewrite the golden texts from what the faces say now; read the diff before commit",
    )
