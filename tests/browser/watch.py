"""What a browser complained of during a test, and whom it asked."""

from playwright.sync_api import BrowserContext, ConsoleMessage, Response

# A stopped server and a refused form are part of a journey; the browser reports both by itself.
EXPECTED = "Failed to load resource"
# What a browser asks itself: data in the page, and its own viewer of printed sheets.
OWN = ("data:", "blob:", "about:", "chrome:", "chrome-extension:")
REPORT_POLICY = (
    "addEventListener('securitypolicyviolation', (event) => "
    "console.error(`policy: ${event.violatedDirective} ${event.blockedURI}`))"
)


class Watch:
    """Collects broken policies, console errors, lost addresses and requests to strangers."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.problems: list[str] = []
        self.asked: set[str] = set()

    def attach(self, context: BrowserContext) -> None:
        """Watch every page that ``context`` opens from now on."""
        context.add_init_script(REPORT_POLICY)
        context.on("weberror", lambda error: self.problems.append(str(error.error)))
        context.on("request", lambda request: self._ask(request.url))
        context.on("response", self._answer)
        context.on("console", self._say)

    def _ask(self, url: str) -> None:
        self.asked.add(url)
        if not url.startswith((self.address, *OWN)):
            self.problems.append(f"asked a stranger: {url}")

    def _answer(self, response: Response) -> None:
        if response.status == 404 or response.status >= 500:
            self.problems.append(f"{response.status} {response.url}")

    def _say(self, message: ConsoleMessage) -> None:
        if message.type == "error" and not message.text.startswith(EXPECTED):
            self.problems.append(message.text)
