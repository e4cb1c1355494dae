"""The app for `streamlit run streamlit_app.py -- CASE`; `optioneer app CASE` is the usual way."""

from streamlit import config
from streamlit.starlette import App

from optioneer.app.engine.server import gate
from optioneer.app.launch import SCRIPT

app = App(SCRIPT, middleware=[gate(str(config.get_option("server.address") or ""))])
