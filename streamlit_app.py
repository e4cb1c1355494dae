"""The app for `streamlit run streamlit_app.py -- CASE`; `optioneer app CASE` is the usual way."""

import sys

from optioneer.app.main import run

run(sys.argv[1:])
