"""What the desk's pages say of an operated eye whose lens lies too high."""

from tests.flow.exchange_case import Case


def page(case: Case, address: str) -> str:
    """Return a page of the desk as Fenn sees it."""
    answer = case.hospital.client("fenn").get(address)
    assert answer.status_code == 200
    return answer.text
