"""The desk in Chromium: usable without scripts, by keyboard, at any width, for any reader."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, Response

from tests import chromium
from tests.browser.base import Base
from webapp.bootstrap import ROOT
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

AXE = ROOT / "static" / "node_modules" / "axe-core" / "axe.min.js"
SIZES = ((1280, 800), (360, 740))
THEMES = ("light", "dusk")
# People of the demo and the eye to look at: each a different state.
LOOKED_AT = (
    ("Maren", "R"), ("Corin", "R"), ("Nessa", "R"), ("Tobin", "R"), ("Ines", "R"), ("Elke", "L"),
    ("Wren", "R"), ("Corin", "L"), ("Odd", "L"),
)  # fmt: skip


class Visitor:
    """A browser window at the desk that notes whatever goes wrong in it."""

    def __init__(self, context: BrowserContext, base: Base) -> None:
        self.page: Page = context.new_page()
        self.address = base.address
        self.problems: list[str] = []
        self.page.on("console", self._note)
        self.page.on("pageerror", lambda error: self.problems.append(str(error)))
        self.page.on("request", self._stay_home)

    def _note(self, message: object) -> None:
        kind, text = getattr(message, "type", ""), getattr(message, "text", "")
        # A page that is meant to say no is reported by the browser as an error as well.
        if kind == "error" and "status of 4" not in text:
            self.problems.append(text)

    def _stay_home(self, request: object) -> None:
        url = str(getattr(request, "url", ""))
        if not url.startswith((self.address, "data:", "chrome-extension:")):
            self.problems.append(f"asked {url}")

    def open(self, path: str) -> Response | None:
        """Open a page of the desk."""
        return self.page.goto(self.address + path)

    def sign_in(self, name: str = "fenn") -> None:
        """Sign in, through the page."""
        self.open("/desk/")
        self.page.get_by_label("Sign-in name").fill(name)
        self.page.get_by_label("Passphrase").fill(PASSPHRASE)
        self.page.get_by_role("button", name="Sign in").click()
        self.page.get_by_role("heading", name="Worklist").wait_for()

    def find(self, name: str) -> str:
        """Find a person by the search and return the id in the address of their page."""
        self.open(f"/desk/?q={name}")
        self.page.locator("[data-row-link]").first.click()
        self.page.get_by_role("heading", name="Readings of both eyes").wait_for()
        return self.page.url.rsplit("/", 1)[1]

    def faults(self) -> list[str]:
        """Return what axe finds wrong with this page, and whether it scrolls sideways."""
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate(AXE.read_text(encoding="utf-8"))
        found = self.page.evaluate("axe.run()")
        assert len(found["passes"]) > 10, "axe looked at nothing"
        said = [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in found["violations"]]
        over = self.page.evaluate("document.documentElement.scrollWidth - innerWidth")
        return said + ([f"{over} px too wide"] if over > 0 else [])


@pytest.fixture(scope="module")
def chrome(playwright: Playwright) -> Iterator[Browser]:
    """Start one Chromium for these tests."""
    browser = playwright.chromium.launch(executable_path=chromium.find(), args=["--no-sandbox"])
    yield browser
    browser.close()


def visit(chrome: Browser, base: Base, **options: object) -> Visitor:
    """Return a new window, signed in as the desk."""
    visitor = Visitor(chrome.new_context(**options), base)  # type: ignore[arg-type]
    visitor.sign_in()
    return visitor


class TestForEverybody:
    """Any reader, any width, either theme."""

    @pytest.mark.parametrize("theme", THEMES)
    def test_no_page_has_a_fault(self, chrome: Browser, base: Base, theme: str) -> None:
        """Axe finds nothing, nothing scrolls sideways, no policy is broken, in any state of an eye.

        ``tests/journey/test_08_every_page.py`` looks at all the other pages in the same way.
        """
        visitor = Visitor(chrome.new_context(), base)
        visitor.page.context.add_cookies(
            [{"name": "lampside-theme", "value": theme, "url": base.address}]
        )
        visitor.sign_in()
        cases = [f"/desk/case/{visitor.find(name)}/{eye}" for name, eye in LOOKED_AT]
        paths = ["/desk/?q=nobody", "/desk/x", "/desk/?late=1", *cases]
        faults = {path: self.looked(visitor, path) for path in paths}
        assert {path: said for path, said in faults.items() if said} == {}
        assert visitor.page.locator("html").get_attribute("data-theme") == theme
        assert visitor.problems == []

    def looked(self, visitor: Visitor, path: str) -> list[str]:
        """Open a page, look at it in each size, and return its faults."""
        visitor.open(path)
        faults = []
        for width, height in SIZES:
            visitor.page.set_viewport_size({"width": width, "height": height})
            faults += [f"{width}: {said}" for said in visitor.faults()]
        return faults

    def test_the_administrators_page_has_no_fault(self, chrome: Browser, base: Base) -> None:
        """The same for the accounts, on a phone."""
        visitor = Visitor(chrome.new_context(viewport={"width": 360, "height": 740}), base)
        visitor.sign_in("rook")
        visitor.open("/desk/people")
        assert visitor.faults() == []
        assert visitor.problems == []


class TestKeyboard:
    """Without a mouse."""

    def test_slash_arrows_and_enter(self, chrome: Browser, base: Base) -> None:
        """A slash goes to the search, arrows along the rows, Enter opens."""
        page = visit(chrome, base).page
        page.keyboard.press("/")
        assert page.evaluate("document.activeElement.id") == "q"
        page.keyboard.type("a/b")
        assert page.locator("#q").input_value() == "a/b"
        page.locator("h1").click()
        names = page.locator("[data-row-link] .strong").all_inner_texts()
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowUp")
        page.keyboard.press("ArrowDown")
        page.keyboard.press("Enter")
        page.get_by_role("heading", name="Readings of both eyes").wait_for()
        assert page.locator("h1").inner_text() == names[1]

    def test_the_first_stop_leads_to_the_content(self, chrome: Browser, base: Base) -> None:
        """Tab, Enter: past the navigation."""
        page = visit(chrome, base).page
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "content"


class TestWithoutScripts:
    """The whole way with JavaScript off."""

    def test_from_the_worklist_to_a_cancelled_order(self, chrome: Browser, base: Base) -> None:
        """Order, wrong passphrase first, reference, print, reprint, cancel."""
        visitor = visit(chrome, base, java_script_enabled=False)
        page, person = visitor.page, visitor.find("Maren")
        visitor.open(f"/desk/case/{person}/R")
        place = page.get_by_role("button", name="Place order for the right eye")
        page.get_by_label("Supplier’s reference, if already given").fill("TI-0451")
        page.get_by_label("Your passphrase, for this order").fill("not this one")
        place.click()
        assert page.locator("#passphrase-error").is_visible()
        page.get_by_label("Your passphrase, for this order").fill(PASSPHRASE)
        place.click()
        page.get_by_text("This order stands").wait_for()
        assert page.get_by_text("TI-0451", exact=True).is_visible()
        order = page.url
        self.sheet_is_a_pdf(visitor, order)
        page.get_by_text("Cancel this order").click()
        page.get_by_label("Why it is cancelled").fill("Moved to another island")
        page.get_by_label("Your passphrase, for this cancellation").fill(PASSPHRASE)
        page.get_by_role("button", name="Cancel the order for the right eye").click()
        page.get_by_text("This order is cancelled").wait_for()
        assert visitor.problems == []

    def sheet_is_a_pdf(self, visitor: Visitor, order: str) -> None:
        """Print through the form, as its own request, since a PDF opens outside the page."""
        token = visitor.page.locator('form[action$="/print"] input[name=csrf_token]')
        fields = {"csrf_token": token.get_attribute("value") or ""}
        answer = visitor.page.context.request.post(f"{order}/print", form=fields)
        assert answer.headers["content-type"] == "application/pdf"
        assert answer.body().startswith(b"%PDF")
        visitor.page.goto(order)
        again = visitor.page.get_by_role("button", name="Print again, marked as a reprint")
        assert again.is_visible()
