"""The invented people who can sign in to the demo, and the sites of the invented Tern Islands."""

from typing import NamedTuple

from webapp.flow.actor import RoleAt

PASSPHRASE = "tern islands demo"  # noqa: S105 - shown on the demo's first page, for nobody real

SITES = {
    "harbour": "Harbour Eye Hospital",
    "north-quay": "North Quay camp",
    "saltpan": "Saltpan camp",
    "upper-glen": "Upper Glen camp",
}
CAMPS = ("north-quay", "saltpan", "upper-glen")


class DemoPerson(NamedTuple):
    """One invented colleague."""

    user_id: str
    sign_in_name: str
    name: str
    role: str
    at: tuple[str, ...]

    @property
    def sites(self) -> str:
        """Where they work, for a reader."""
        return ", ".join(SITES[site] for site in self.at)

    @property
    def roles(self) -> list[RoleAt]:
        """The role at each of their sites."""
        return [RoleAt(self.role, site) for site in self.at]


DEMO_PEOPLE = (
    DemoPerson("u-ambler", "ambler", "R. Ambler", "optometrist", ("saltpan", "north-quay")),
    DemoPerson("u-quill", "quill", "T. Quill", "optometrist", ("upper-glen",)),
    DemoPerson("u-verrill", "verrill", "Dr S. Verrill", "surgeon", CAMPS),
    DemoPerson("u-marsh", "marsh", "Dr I. Marsh", "surgeon", CAMPS),
    DemoPerson("u-hale", "hale", "Dr P. Hale", "surgeon", CAMPS),
    DemoPerson("u-fenn", "fenn", "L. Fenn", "desk", ("harbour", *CAMPS)),
    DemoPerson("u-wren", "wren", "N. Wren", "theatre", CAMPS),
    DemoPerson("u-rook", "rook", "A. Rook", "administrator", ("harbour",)),
    DemoPerson("u-teal", "teal", "P. Teal", "administrator", ("harbour",)),
    DemoPerson("u-birch", "birch", "C. Birch", "auditor", ("harbour",)),
)
