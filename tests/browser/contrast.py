"""Contrast of every text where it stands, judged once for all texts that look and stand alike.

Most of what axe-core does is to find out what lies below and above each text. Of two texts that
share ink, size, weight and all grounds, those of their ancestors and those that lie where they
stand, it finds the same ratio, on whatever page, in whatever size and scheme.
"""

from typing import Any

from playwright.sync_api import Page

LOOKS = """() => {
  const own = new Map(), chains = new Map([[null, '']]), found = new Map();
  const IMAGES = 'img, canvas, object, iframe, video';
  const ground = each => {
    if (!own.has(each)) {
      const { backgroundColor, backgroundImage, opacity, mixBlendMode } = getComputedStyle(each);
      const image = each.closest('svg')?.tagName ?? (each.matches(IMAGES) ? each.tagName : '');
      const said = `/${backgroundColor} ${backgroundImage} ${opacity} ${mixBlendMode} ${image}`;
      own.set(each, said === '/rgba(0, 0, 0, 0) none 1 normal ' ? '' : said);
    }
    return own.get(each);
  };
  const chain = each => {
    if (!chains.has(each)) chains.set(each, chain(each.parentElement) + ground(each));
    return chains.get(each);
  };
  const texts = each => [...each.childNodes]
    .filter(one => one.nodeType === Node.TEXT_NODE && one.data.trim());
  const places = (each, said) => said.length === 0 ? [each.getBoundingClientRect()]
    : said.flatMap(one => { range.selectNode(one); return [...range.getClientRects()]; });
  const there = ({ x, y, width, height }) =>
    document.elementsFromPoint(x + width / 2, y + height / 2).map(ground).join('') || 'beyond';
  const range = document.createRange();
  const all = document.createElement('style');
  all.textContent = '* { pointer-events: auto !important; }';  // else it seems not to be there
  document.head.append(all);
  for (const each of document.querySelectorAll('body *')) {
    if (each.shadowRoot) throw new Error(`what is in ${each.tagName} is not looked at`);
    const said = texts(each);
    if (said.length === 0 && !each.matches('input, select, textarea')) continue;
    if (!each.checkVisibility()) continue;
    const ink = getComputedStyle(each);
    const look = [ink.color, ink.fill, ink.webkitTextFillColor, ink.webkitTextStroke, ink.fontSize,
      ink.fontWeight, ink.textShadow, each.closest('[disabled], [aria-disabled=true]') !== null,
      chain(each), ...new Set(places(each, said).map(there))].join('|');
    found.set(look, [...(found.get(look) ?? []), each]);
  }
  all.remove();
  return found;
}"""
"""Texts by their looks: ink, size, weight, grounds of ancestors, grounds where they stand."""

JUDGED = f"""async known => {{
  const looks = [...({LOOKS})()].filter(([look]) => !known.includes(look));
  const judged = async texts => {{
    const told = texts.length === 0 ? {{ passes: [], violations: [], incomplete: [] }}
      : await axe.run({{ include: texts }}, {{ runOnly: ['color-contrast'], elementRef: true }});
    return [[...told.passes, ...told.incomplete], told.violations]
      .map(some => some.flatMap(each => each.nodes));
  }};
  const longest = texts => texts.reduce(
    (one, other) => other.textContent.length > one.textContent.length ? other : one);
  const first = new Map(looks.map(([look, texts]) => [look, longest(texts)]));
  const [enough] = await judged([...first.values()]);
  const sure = new Set(enough.filter(({{ any: [{{ data }}] }}) =>
    ['imgNode', 'bgGradient', 'bgImage'].includes(data?.messageKey)
    || !data?.messageKey && data?.contrastRatio > 0).map(each => each.element));
  const unsure = looks.filter(([look]) => !sure.has(first.get(look)));
  const [, faults] = await judged(unsure.flatMap(([, texts]) => texts));
  return {{
    fine: [...first].filter(([, text]) => sure.has(text)).map(([look]) => look),
    faults: faults.map(({{ html, failureSummary }}) => [html, failureSummary]),
  }};
}}"""
"""Looks that are not known, judged by the longest text of each.

By all texts of a look where that one is at fault, and where axe-core measures no ratio of it for
another reason than its grounds: it is hidden, a single letter, half below something.
"""

known_to_be_fine: set[str] = set()
"""Looks whose contrast was measured and is enough, on whatever page."""


def faint(page: Page) -> list[str]:
    """Texts of a page, with axe-core in it, that stand out too little from their ground."""
    told: dict[str, Any] = page.evaluate(JUDGED, sorted(known_to_be_fine))
    known_to_be_fine.update(told["fine"])
    return [f"color-contrast: {html[:300]} {why[:300]}" for html, why in told["faults"]]
