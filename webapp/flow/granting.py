"""Giving and taking roles; giving one that approves lenses or gives rights takes two people."""

from webapp.flow import accounts, audit, two_people
from webapp.flow.actor import Actor, RoleAt
from webapp.flow.permissions import ROLES
from webapp.flow.refusal import NotFound, Refused
from webapp.flow.two_people import Proposal
from webapp.store import accounts as store
from webapp.store import audit_log, installation
from webapp.store.database import writing

ACTION = "account.write"
GIVE = "role.give"
TAKES_TWO = ("surgeon", "administrator")
"""A surgeon approves lenses. An administrator could otherwise make the second one alone."""
ENOUGH = 2


def takes_two(role: str) -> bool:
    """Say whether another administrator has to confirm this role.

    The second administrator of all is the exception: nobody else was ever there to confirm. Whoever
    stops the other one, or takes the role away, does not come back to it.
    """
    is_first_helper = role == "administrator" and _administrators_ever() < ENOUGH
    return role in TAKES_TWO and not is_first_helper


def administrators() -> int:
    """Return how many active accounts are administrators."""
    everyone = [account for account in store.everyone() if account.active]
    return sum(any(role == "administrator" for role, _ in one.roles) for one in everyone)


def _administrators_ever() -> int:
    """Return how many accounts were given the role, whatever became of them."""
    given = audit_log.since("", "role.given")
    return len({said.subject for said in given if said.detail.startswith("administrator@")})


def give(actor: Actor, user_id: str, role: RoleAt, passphrase: str) -> bool:
    """Give one more role, or propose it; return whether it is held now.

    Raises:
        Refused: not an administrator, an unknown role or site, or a wrong passphrase.
    """
    actor.require(ACTION)
    check(role)
    held = roles_of(user_id)
    accounts.confirm(actor, passphrase)
    if role in held:
        return True
    with writing():
        if takes_two(role.role):
            two_people.propose(actor, GIVE, user_id, f"{role.role}@{role.site}")
            return False
        change(actor, user_id, held | {role})
    return True


def confirm(actor: Actor, proposal_id: str, passphrase: str) -> None:
    """Confirm another administrator's proposal; the role is held from now on."""
    actor.require(ACTION)
    accounts.confirm(actor, passphrase)
    with writing():
        found = two_people.confirm(actor, GIVE, proposal_id, ACTION)
        role = role_in(found)
        check(role)
        change(actor, found.subject, roles_of(found.subject) | {role})


def withdraw(actor: Actor, proposal_id: str) -> None:
    """Take back or refuse a proposal."""
    two_people.withdraw(actor, GIVE, proposal_id, ACTION)


def take(actor: Actor, user_id: str, role: RoleAt) -> None:
    """Take one role away, acting at once."""
    actor.require(ACTION)
    if user_id == actor.user_id and role.role == "administrator":
        raise Refused("user.self", "You cannot take your own administrator role away.", "roles")
    with writing():
        change(actor, user_id, roles_of(user_id) - {role})


def pending() -> list[tuple[Proposal, RoleAt]]:
    """Return the proposals that wait, each with the role it is about."""
    return [(one, role_in(one)) for one in two_people.pending(GIVE)]


def role_in(proposal: Proposal) -> RoleAt:
    """Return the role that a proposal is about."""
    role, _, site = proposal.detail.partition("@")
    return RoleAt(role, site)


def change(actor: Actor | None, user_id: str, roles: set[RoleAt]) -> None:
    """Set the roles of an account, each change with its line in the audit log."""
    held = roles_of(user_id)
    store.set_roles(user_id, list(roles))
    for event, changed in (("role.given", roles - held), ("role.taken", held - roles)):
        for one in sorted(changed):
            audit.note(event, actor, user_id, f"{one.role}@{one.site}")


def roles_of(user_id: str) -> set[RoleAt]:
    """Return the roles an account holds. Raises: NotFound."""
    account = store.by_id(user_id)
    if account is None:
        raise NotFound("account")
    return {RoleAt(*pair) for pair in account.roles}


def check(role: RoleAt) -> None:
    """Refuse a role or a site that does not exist."""
    known = installation.site_titles()
    if role.role not in ROLES:
        raise Refused("user.role", f"{role.role} is not a role: {', '.join(ROLES)}.", "roles")
    if role.site not in known:
        raise Refused("user.site", f"{role.site} is not a site: {', '.join(known)}.", "roles")
