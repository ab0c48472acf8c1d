"""Who is acting: a signed-in person, and the roles they hold now at which sites."""

from typing import NamedTuple

from webapp.flow import permissions
from webapp.flow.refusal import NotFound, Refused

ALL_SITES = "all"


class RoleAt(NamedTuple):
    """One role held at one site."""

    role: str
    site: str


class Actor(NamedTuple):
    """A signed-in person, with roles read from the database at the start of this request."""

    user_id: str
    sign_in_name: str
    name: str
    roles: tuple[RoleAt, ...]
    address: str = ""

    def sites(self, *roles: str) -> frozenset[str]:
        """Return the sites where any of these roles is held; with no role named, any role."""
        return frozenset(held.site for held in self.roles if not roles or held.role in roles)

    def holds(self, role: str, site: str) -> bool:
        """Say whether this role is held at this site."""
        return RoleAt(role, site) in self.roles

    def has_role(self, role: str) -> bool:
        """Say whether this role is held anywhere."""
        return any(held.role == role for held in self.roles)

    def may(self, action: str, site: str | None = None) -> bool:
        """Say whether the table of permissions lets this person do this (at this site).

        Args:
            action: one of ``permissions.ACTIONS``.
            site: where; None asks whether it is allowed anywhere.
        """
        if site is None:
            return any(held.role in permissions.ACTIONS[action] for held in self.roles)
        return any(permissions.covers(action, held.role, held.site, site) for held in self.roles)

    def require(self, action: str, site: str | None = None) -> None:
        """Raise Refused unless this may be done (at this site, when one is named)."""
        if not self.may(action, site):
            roles = " or ".join(sorted(permissions.roles_for(action)))
            place = f" at {site}" if site else ""
            raise Refused("role.missing", f"This needs the role {roles}{place}; you don’t hold it.")

    def sites_for(self, action: str) -> frozenset[str]:
        """Return the sites where a role is held that may do this."""
        return self.sites(*permissions.roles_for(action))

    def may_read(self, site: str, action: str = "case.read") -> bool:
        """Say whether records of this site may be read: on a page, or by a device that pulls them.

        Reference records (catalogue and limits) are for everyone who writes records.
        """
        return site == ALL_SITES or self.may(action, site)

    def require_site(self, site: str, what: str, action: str = "case.read") -> None:
        """Raise NotFound unless this site may be read, so that other sites cannot be probed."""
        if not self.may_read(site, action):
            raise NotFound(what)

    def require_role(self, role: str, site: str | None = None) -> None:
        """Raise Refused unless this role is held (at this site, when one is named)."""
        if not (self.holds(role, site) if site else self.has_role(role)):
            place = f" at {site}" if site else ""
            raise Refused("role.missing", f"This needs the role {role}{place}; you do not hold it.")
