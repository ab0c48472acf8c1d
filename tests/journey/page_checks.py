"""What every page must pass: axe's rules, no sideways scrolling, targets that a finger can hit."""

import os
from functools import cache
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

from webapp.bootstrap import ROOT

AXE = ROOT / "static" / "node_modules" / "axe-core" / "axe.min.js"
# WCAG 2.5.5 asks for 44 by 44 CSS pixels, except for links inside a sentence and hidden controls.
TARGET_PX = 44
SIZES = ((360, 740), (1280, 800))
TABLET = (768, 1024)
THEMES = ("light", "dusk", "lamp")
DESK_THEMES = THEMES[:2]
# A theme is colours: every other rule sees the same page in each of them.
COLOURS = ("color-contrast", "link-in-text-block")
SMALL_TARGETS = """(least) => {
  const seen = (element) => element.checkVisibility({ visibilityProperty: true });
  const inText = (element) => {
    const line = element.closest("p, li, dd, td, figcaption, .status-strip, .bound");
    return element.matches("a, button.link") && line && !element.matches(".btn, .row, .cell") &&
      getComputedStyle(element).display === "inline";
  };
  const area = (element) => {
    const label = element.matches("input[type=radio], input[type=checkbox]") &&
      element.closest("label");
    return (label || element).getBoundingClientRect();
  };
  const found = document.querySelectorAll(
    "a[href], button, input:not([type=hidden]), select, textarea, summary, [role=radio]");
  return [...found].filter((element) => seen(element) && !inText(element)).flatMap((element) => {
    const { width, height } = area(element);
    const isSmall = (width < least - 0.5 || height < least - 0.5) && width > 1 && height > 1;
    const words = (element.ariaLabel ?? element.textContent).trim().replace(/\\s+/g, " ");
    return isSmall ? [`${element.tagName} ${words.slice(0, 40)}: ${width} x ${height}`] : [];
  });
}"""
SIDEWAYS = """() => {
  const page = document.scrollingElement;
  return page.scrollWidth > page.clientWidth ? [`${page.scrollWidth} > ${page.clientWidth}`] : [];
}"""
# A sheet fades in; half faded it has another contrast.
ALL_STANDS_STILL = """() => Promise.allSettled(
  document.getAnimations()
    .filter(({ effect }) => effect.getComputedTiming().endTime < Infinity)
    .map(({ finished }) => finished)).then(() => null)"""
RUN_AXE = """async (rules) => {
  const only = rules ? { runOnly: { type: "rule", values: rules } } : {};
  const { violations } = await axe.run(document, { resultTypes: ["violations"], ...only });
  return violations.map(({ id, nodes }) => [id, ...nodes.map(({ target, any }) =>
    [...target, ...any.map(({ message }) => message)].join(" "))]);
}"""


@cache
def _axe() -> str:
    return Path(AXE).read_text(encoding="utf-8")


def problems(page: Page, rules: tuple[str, ...] | None = None) -> dict[str, Any]:
    """Return what is wrong with the page as it stands, by the name of the check; {} if nothing.

    Args:
        page: the page.
        rules: those of axe that are asked; all without any.
    """
    page.evaluate(ALL_STANDS_STILL)
    if not page.evaluate("'axe' in globalThis"):
        page.evaluate(_axe())
    found = {
        "axe": page.evaluate(RUN_AXE, rules),
        "sideways": page.evaluate(SIDEWAYS),
        "targets": page.evaluate(SMALL_TARGETS, TARGET_PX),
    }
    return {name: list_ for name, list_ in found.items() if list_}


def in_every_look(
    page: Page,
    themes: tuple[str, ...] = THEMES,
    sizes: tuple[tuple[int, int], ...] = SIZES,
) -> dict[str, Any]:
    """Return what is wrong with the page as it stands, in each theme and size; {} if nothing.

    The theme is put on the page as it is, so that what was typed or opened stays.
    """
    before, size = page.evaluate("document.documentElement.dataset.theme"), page.viewport_size
    found = {}
    for width, height in sizes:
        page.set_viewport_size({"width": width, "height": height})
        for theme in themes:
            page.evaluate("(theme) => { document.documentElement.dataset.theme = theme; }", theme)
            said = problems(page, None if theme == themes[0] else COLOURS)
            found |= {f"{what} {width} {theme}": listed for what, listed in said.items()}
    page.evaluate("(theme) => { document.documentElement.dataset.theme = theme; }", before)
    if size:
        page.set_viewport_size(size)
    return found


def shot(page: Page, name: str) -> None:
    """Keep a picture where one was asked for."""
    folder = os.environ.get("LAMPSIDE_PICTURES")
    if folder:
        page.screenshot(path=f"{folder}/{name}.png", full_page=True)
