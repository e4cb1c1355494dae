"""Optioneer: what to order now on a new machine tool, what to retrofit, what to leave off."""

from importlib.metadata import PackageNotFoundError, version

try:
    __version__ = version("optioneer")
except PackageNotFoundError:  # run from a checkout that was never installed
    __version__ = "0.0.0+checkout"
