"""The looks of the pages: what the framework leaves to us, on the screen and on paper."""

STYLE = """
<style>
table.facts { border-collapse: collapse; width: 100%; font-size: 0.95rem; margin: 0 0 1rem 0; }
table.facts caption { break-after: avoid; }
table.facts caption { text-align: left; font-weight: 600; padding: 0.2rem 0 0.4rem 0; }
table.facts th, table.facts td { padding: 0.28rem 0.7rem 0.28rem 0; text-align: right;
  border-bottom: 1px solid color-mix(in srgb, currentColor 18%, transparent);
  font-variant-numeric: tabular-nums; vertical-align: top; }
table.facts th:first-child, table.facts td:first-child, table.facts .text { text-align: left; }
table.facts .why td { border-bottom: 1px solid color-mix(in srgb, currentColor 18%, transparent);
  padding-bottom: 0.6rem; }
table.facts tr.has-why > * { border-bottom: none; padding-bottom: 0; }
table.facts td.figure { white-space: nowrap; }
.table-frame { overflow-x: auto; }
[data-testid="stMainBlockContainer"] { padding-top: 4rem; }
[data-testid="stCheckbox"] label p { white-space: normal; }
[data-testid="stCaptionContainer"], [data-testid="stCaptionContainer"] p {
  color: inherit; opacity: 0.9; }
[data-testid="stMultiSelect"] [data-tag] { background-color: transparent;
  border: 1px solid currentColor; }
[data-testid="stMultiSelect"] [data-tag], [data-testid="stMultiSelect"] [data-tag] * {
  color: inherit; }
.lost { display: none; }
[data-testid="stElementContainer"]:has(.lost) { position: absolute; }
.stApp[data-test-connection-state="PINGING_SERVER"] .lost,
.stApp[data-test-connection-state="DISCONNECTED_FOREVER"] .lost { display: block; position: fixed;
  top: 4.5rem; left: 50%; transform: translateX(-50%); width: min(40rem, 92vw); z-index: 1000000;
  padding: 1rem 1.2rem; border: 2px solid #b45309; border-radius: 0.4rem;
  background: #fffbeb; color: #1d2733; }
body:has(.stApp[data-test-connection-state="PINGING_SERVER"]) [role="dialog"],
body:has(.stApp[data-test-connection-state="DISCONNECTED_FOREVER"]) [role="dialog"] {
  display: none; }
.lead .order { font-size: 1.35rem; font-weight: 600; line-height: 1.3; margin: 0 0 0.7rem 0; }
.lead .figures { display: grid; grid-template-columns: repeat(auto-fit, minmax(11rem, 1fr));
  gap: 0.4rem 1.2rem; margin: 0 0 0.8rem 0 !important; padding: 0; }
.lead .figures div { border-left: 3px solid #1c8489; padding-left: 0.6rem; }
.lead dt { font-size: 0.85rem; } .lead dd { margin: 0; }
.lead dd b { display: block; font-size: 1.45rem; line-height: 1.25;
  font-variant-numeric: tabular-nums; }
.lead dd small { font-size: 0.82rem; line-height: 1.25; display: block; }
.strip-title { margin: 0 0 0.2rem 0; font-size: 0.9rem; }
.strip { position: relative; height: 2rem; margin: 0 0.4rem; border-bottom: 1px solid
  color-mix(in srgb, currentColor 35%, transparent); }
.strip i { position: absolute; bottom: 0; }
.strip .range { height: 1rem; bottom: 0.3rem; background: #1c848966;
  border: 1px solid #1c8489; }
.strip .low, .strip .high { display: none; }
.strip .middle, .strip-key .middle { width: 3px; height: 1.5rem; background: currentColor; }
.strip .middle { margin-left: -1.5px; bottom: 0.05rem; }
.strip .mean, .strip-key .mean { width: 0.7rem; height: 0.7rem; border-radius: 50%;
  background: currentColor; }
.strip .mean { margin-left: -0.35rem; bottom: 0.45rem; }
.strip .worst, .strip-key .worst { width: 0.6rem; height: 0.6rem; transform: rotate(45deg);
  border: 2px solid currentColor; }
.strip .worst { margin-left: -0.4rem; bottom: 0.4rem; }
.strip .none, .strip-key .none { width: 0; height: 2rem; border-left: 3px dotted #c2552d; }
.strip-key { display: flex; flex-wrap: wrap; gap: 0.1rem 1.3rem; font-size: 0.85rem;
  margin: 0.3rem 0 0.6rem 0; }
.strip-key span { white-space: nowrap; }
.strip-key i { display: inline-block; vertical-align: middle; margin: 0 0.35rem; }
.strip-key .middle, .strip-key .none { height: 1rem; }
.strip-key .low, .strip-key .high { width: 0.5rem; height: 0.8rem; background: #1c848966;
  border: 0 solid #1c8489; border-left-width: 2px; }
.strip-key .high { border-left-width: 0; border-right-width: 2px; }
.verdicts { font-variant-numeric: tabular-nums; }
.verdicts h3 { font-size: 1rem; padding: 0.9rem 0 0.2rem 0; margin: 0; display: flex;
  justify-content: space-between; gap: 1rem; font-weight: 600; }
.verdicts h3 span { font-weight: 400; font-size: 0.85rem; }
.verdicts summary, .verdicts .scale { display: grid; align-items: center; gap: 0 0.8rem;
  grid-template-columns: minmax(0, 5fr) minmax(0, 6fr) 7.5rem; padding: 0.13rem 0; }
.verdicts summary { cursor: pointer; list-style: none; border-bottom: 1px solid
  color-mix(in srgb, currentColor 12%, transparent); }
.verdicts summary::-webkit-details-marker { display: none; }
.verdicts summary > span:first-child::before { content: "\\25B8"; display: inline-block;
  width: 1rem; opacity: 0.8; }
.verdicts details[open] summary > span:first-child::before { content: "\\25BE"; }
.verdicts summary:hover { background: color-mix(in srgb, currentColor 6%, transparent); }
.verdicts summary:focus-visible { outline: 2px solid #1c8489; }
.verdicts summary small { font-size: 0.82rem; }
.verdicts summary b { text-align: right; font-weight: 500; }
.verdicts details p { margin: 0.2rem 0 0.6rem 1rem; max-width: 60rem; }
.verdicts .scale { font-size: 0.82rem; } .verdicts .scale > span:last-child { text-align: right; }
.verdicts .track { position: relative; height: 1.1rem; display: block; }
.verdicts .track span { position: absolute; transform: translateX(-50%); white-space: nowrap; }
.verdicts .track i { position: absolute; top: 0.2rem; height: 0.7rem; }
.verdicts .zero { width: 1px; background: currentColor; opacity: 0.6; }
.verdicts .track .zero { top: 0; height: 1.1rem; }
.verdicts .order { background: #1c8489; } .verdicts .wait { background: #b08a1e; }
.verdicts .off { background: #7f8a93; }
.verdicts .cut { clip-path: polygon(0 0, 100% 0, calc(100% - 5px) 33%, 100% 66%,
  calc(100% - 5px) 100%, 0 100%); }
.verdicts .close { background: repeating-linear-gradient(45deg, currentColor 0 1.5px,
  transparent 1.5px 5px); border: 1px solid currentColor; opacity: 0.7; }
.verdicts .track .error { top: 0.5rem; height: 2px; background: currentColor; min-width: 2px; }
.verdicts .band { border-left: 4px double currentColor; padding-left: 0.5rem; margin-top: 0.3rem;
  background: color-mix(in srgb, currentColor 5%, transparent); }
.verdicts .band > p { font-size: 0.85rem; margin: 0; padding: 0.25rem 0 0.1rem 0; }
.verdicts .hangs { grid-column: 1 / -1; display: grid; align-items: center; gap: 0 0.8rem;
  grid-template-columns: minmax(0, 5fr) minmax(0, 6fr) 7.5rem; padding: 0 0 0.15rem 0; }
.verdicts .hangs > small { margin-left: 1rem; }
.verdicts .ends { display: flex; align-items: center; gap: 0.5rem; }
.verdicts .span { position: relative; flex: 1; height: 0.9rem; max-width: 16rem;
  border-bottom: 1px solid currentColor; }
.verdicts .span i { position: absolute; bottom: 0; }
.verdicts .turned { height: 0.55rem; background: repeating-linear-gradient(45deg,
  currentColor 0 1.5px, transparent 1.5px 5px); opacity: 0.75; }
.verdicts .here { width: 0.5rem; height: 0.5rem; margin-left: -0.25rem; border-radius: 50%;
  background: currentColor; bottom: 0.02rem; }
.verdicts .foot { font-size: 0.9rem; margin: 0.3rem 0; }
[data-testid="stLayoutWrapper"]:has(> .st-key-pinned) { position: sticky; top: 3.2rem;
  z-index: 90; }
.st-key-glance { background: #ffffff; }
@media (prefers-color-scheme: dark) { .st-key-glance { background: #14191f; } }
.st-key-pinned { background: #ffffff; padding: 0.4rem 0;
  border-bottom: 2px solid #1c8489; gap: 0.4rem; }
@media (prefers-color-scheme: dark) { .st-key-pinned { background: #14191f; } }
@media (prefers-color-scheme: dark) {
  [data-testid="stBaseButton-primary"], [data-testid="stBaseButton-primary"] p { color: #14191f; }
}
[data-testid="stMetricValue"] { font-size: 1.5rem; }
[data-testid="stHeading"] h1 { font-size: 1.6rem; padding: 0.2rem 0; }
[data-testid="stMarkdownContainer"] h4 { font-size: 1.3rem; line-height: 1.3; }
[data-testid="stHeading"] h2 { font-size: 1.45rem; padding: 0.3rem 0; }
[data-testid="stHeading"] h3 { font-size: 1.2rem; padding: 0.5rem 0 0.2rem 0; }
[data-testid="stExpandSidebarButton"]::after { content: "Pages"; font-size: 0.95rem;
  margin-left: 0.2rem; }
[data-testid="stExpandSidebarButton"] { width: auto !important; }
.road .months, .road .track { position: relative; }
.road .months { height: 1.3rem; font-size: 0.8rem; margin-left: 40%; }
.road .months span { position: absolute; transform: translateX(-50%); }
.road .task { display: grid; grid-template-columns: 40% 60%; align-items: center;
  border-bottom: 1px solid color-mix(in srgb, currentColor 12%, transparent); }
.road .task small { font-size: 0.78rem; }
.road .track { height: 1.3rem; }
.road .track i { position: absolute; top: 0.3rem; height: 0.7rem; }
.road .bar { background: #1c848966; border: 1px solid #1c8489; }
.road .critical { background: #b3502a; border: 1px solid currentColor; }
.road .early { background: transparent; border: 1px dashed currentColor; }
.road .track .room { top: 0.62rem; height: 0; border-top: 2px dotted currentColor; }
.road .track .mark { top: 0; height: 1.3rem; border-left: 1.5px solid currentColor; opacity: 0.55; }
.road .track .book { width: 0; height: 0; border: 0.35rem solid transparent;
  border-left: 0.5rem solid currentColor; }
.road .days { font-size: 0.88rem; columns: 2; margin: 0.4rem 0; }
.floor { position: relative; width: min(100%, 34rem); margin: 0.3rem 0 0.6rem 0; }
.floor i { position: absolute; font-style: normal; font-size: 0.85rem; box-sizing: border-box;
  border: 1.5px solid currentColor; }
.floor i span { padding: 0.1rem 0.4rem; display: inline-block; }
.floor .free { background: color-mix(in srgb, currentColor 6%, transparent); text-align: right; }
.floor .served { border-style: dashed; }
.floor .machine { background: #1c848955; border: 2px solid #1c8489; }
.ten { display: flex; gap: 0.3rem; flex-wrap: wrap; margin: 0.3rem 0; }
.ten i { width: 1.5rem; height: 1.5rem; border: 2px solid currentColor; }
.ten .sure { background: #1c8489; }
.ten .likely { background: #1c848977; }
.ten .perhaps { background: repeating-linear-gradient(45deg, #1c8489 0 2px, transparent 2px 6px); }
.rests p { margin: 0.4rem 0 0.15rem 0; font-size: 0.9rem; }
.rests div { display: flex; height: 0.9rem; border: 1px solid currentColor; }
.rests div i { border-right: 1px solid currentColor; }
.rests small { display: flex; flex-wrap: wrap; gap: 0.1rem 1.2rem; font-size: 0.85rem; }
.rests span i { display: inline-block; width: 0.8rem; height: 0.8rem; margin-right: 0.35rem;
  border: 1px solid currentColor; vertical-align: -0.05rem; }
.rests .quoted { background: #0f5c63; } .rests .told { background: #1c8489; }
.rests .computed { background: #7fb7ba; } .rests .unsaid { background: #7f8a9355; }
.rests .usual { background: repeating-linear-gradient(45deg, #b08a1e 0 2px, transparent 2px 6px); }
.rests .example { background: repeating-linear-gradient(-45deg, #b3502a 0 4px,
  transparent 4px 7px); }
.moves { display: grid; grid-template-columns: repeat(auto-fill, minmax(17rem, 1fr));
  gap: 0.8rem; padding: 0 0 0 1.2rem; }
.moves b { font-weight: 500; }
.moves div { display: flex; flex-wrap: wrap; gap: 0.25rem; margin-top: 0.3rem; }
.moves div span { border: 1.5px solid currentColor; padding: 0.15rem 0.4rem; font-size: 0.8rem; }
.moves .from { border-style: dashed; } .moves .ours { background: #1c848944; }
.moves .to { background: #b08a1e88; border-width: 2.5px; }
.moves .other { opacity: 0.75; }
.on-phone { display: none; }
[data-testid="stElementContainer"]:has(> .stHtml > .on-phone) { position: absolute; }
@media (max-width: 640px) {
  .road .task { grid-template-columns: 1fr; padding: 0.2rem 0; }
  .road .months { margin-left: 0; } .road .months span:nth-child(even) { display: none; }
  .road .days { columns: 1; }
  .verdicts summary { grid-template-columns: minmax(0, 1fr) auto; }
  .verdicts summary .track { grid-column: 1 / -1; grid-row: 2; margin-left: 1rem; }
  .verdicts .hangs { grid-template-columns: minmax(0, 1fr); }
  .verdicts .ends { margin-left: 1rem; }
  .verdicts .scale { grid-template-columns: minmax(0, 1fr); }
  .verdicts .scale > span { display: none; } .verdicts .scale .track { margin-left: 1rem; }
  .verdicts .scale .track span:nth-child(even) { display: none; }
  [tabindex] > table.facts th:first-child { min-width: 7.5rem; }
  [tabindex] > table.facts td.text:last-child { min-width: 11rem; }
  [data-testid="stElementContainer"]:has(> .stHtml > .on-phone) { position: static; }
  .on-phone { display: block; margin: 0; font-size: 0.9rem; }
  .stacks table, .stacks tbody, .stacks tr, .stacks tbody th, .stacks caption { display: block; }
  .stacks thead { display: none; }
  .stacks tr { padding: 0.3rem 0 0.4rem 0;
    border-bottom: 1px solid color-mix(in srgb, currentColor 18%, transparent); }
  .stacks > table.facts tbody th { font-weight: 600 !important; border: none; }
  .stacks > table.facts tbody td { display: flex; justify-content: space-between; gap: 1rem;
    border: none; padding: 0.1rem 0; min-width: 0; text-align: right; }
  .stacks tbody td::before { content: attr(data-head); text-align: left; flex: none;
    max-width: 55%; }
  .stacks tbody td:empty { display: none !important; }
  .table-frame:not(.stacks)[tabindex] { background: linear-gradient(to left, #ffffff 40%,
    transparent) right / 2.5rem 100% no-repeat local, linear-gradient(to left, #1c848966,
    transparent) right / 0.8rem 100% no-repeat scroll; }
  [role="radiogroup"] { flex-wrap: wrap; }
  .lead .order { font-size: 1.1rem; } .lead dd b { font-size: 1.15rem; }
  .lead .figures { grid-template-columns: 1fr 1fr; gap: 0.4rem 0.6rem; }
  [data-testid="stMainBlockContainer"] { padding-top: 4rem; }
  [data-testid="stHeading"] h1, [data-testid="stHeading"] h2 { font-size: 1.2rem; }
  [data-testid="stMarkdownContainer"] h4 { font-size: 1.1rem; line-height: 1.3; }
  .st-key-glance { position: fixed; left: 0; right: 0; bottom: 0; z-index: 95;
    padding: 0.3rem 1rem 0.5rem 1rem; gap: 0.1rem 1.2rem; border-top: 2px solid #1c8489; }
  .st-key-glance [data-testid="stMetricValue"], .st-key-pinned [data-testid="stMetricValue"] {
    font-size: 1.1rem; line-height: 1.2; }
  .st-key-glance [data-testid="stMetricLabel"] p, .st-key-pinned [data-testid="stMetricLabel"] p {
    font-size: 0.78rem; line-height: 1.1; }
  .st-key-pinned > div { gap: 0.2rem 1rem; }
  [data-testid="stMainBlockContainer"]:has(.st-key-glance) { padding-bottom: 11rem; }
}
@media (max-width: 640px) and (prefers-color-scheme: dark) {
  .table-frame:not(.stacks)[tabindex] { background: linear-gradient(to left, #14191f 40%,
    transparent) right / 2.5rem 100% no-repeat local, linear-gradient(to left, #7fb7ba88,
    transparent) right / 0.8rem 100% no-repeat scroll; }
}
.paper { display: none; }
[data-testid="stElementContainer"]:has(> .stHtml > .paper) { position: absolute; }
@page { margin: 14mm; }
@media print {
  html, body, #root, .stApp, .stApp > * { background: #ffffff !important; }
  .stApp, .stApp * { color: #1d2733 !important; background-color: transparent; }
  header, [data-testid="stSidebar"], [data-testid="stToolbar"], [data-testid="stHeader"],
  .stButton, .stDownloadButton, .stTextInput, .stTextArea, .stFileUploader, .stPageLink,
  .stTooltipIcon, [data-testid="stExpander"]:has(details:not([open])),
  [data-testid="stExpander"] summary svg, .stCheckbox label > :first-child,
  [data-testid="stElementToolbar"] { display: none !important; }
  [data-testid="stMain"], [data-testid="stAppViewContainer"], .stApp, .stMain,
  [data-testid="stLayoutWrapper"]:has(> .st-key-pinned), .st-key-pinned, .st-key-glance {
    position: static !important; overflow: visible !important; height: auto !important; }
  [data-testid="stMainBlockContainer"] { padding: 0 !important; }
  .stCheckbox label::before { content: "\\2610"; margin-right: 0.4rem; }
  .stCheckbox label:has(input:checked)::before { content: "\\2611"; }
  .paper { display: block; }
  [data-testid="stElementContainer"]:has(> .stHtml > .paper) { position: static; }
  .st-key-ticks [data-testid="stDataFrame"] { display: none; }
  .table-frame { overflow: visible; }
  table.facts { font-size: 0.78rem; }
  table.facts th, table.facts td { padding-right: 0.4rem; }
  table.facts thead { display: table-header-group; break-after: avoid; }
  table.facts tbody tr:first-child { break-before: avoid; }
  table.facts tr, .verdicts details, .road .task, .moves > *, .floor, .stVegaLiteChart, .lead {
    break-inside: avoid; }
  h1, h2, h3, h4, .verdicts h3 { break-after: avoid; }
}
@media print and (prefers-color-scheme: dark) {
  [data-testid="stDataFrame"] canvas { filter: invert(1) hue-rotate(180deg); }
}
</style>
<div class="lost" role="status">The app does not answer: it was ended, or its machine is off or out
of reach. What you typed so far is kept there. Start it again and load this page anew; it goes on
where you were.</div>
"""
"""The looks, and what is said while the server is lost: shown by the page itself."""
