"""Who there is in the demo, and how far each eye has come. Everybody is invented."""

from typing import Any, NamedTuple

from demo_fixtures.eyes import Eye

UNASKED = "not_asked"


class Person(NamedTuple):
    """One invented person with both eyes; a state of "" means that the eye was never begun."""

    person: str
    site: str
    name: str
    camp_code: str
    village: str
    sex: str
    born: str
    """A date, or a year alone."""
    right: tuple[str, Eye]
    left: tuple[str, Eye]
    stable: str = "yes"
    phone: str | None = None
    days_ago: float | None = None
    """When the camp was that saw this person; None: at the last one of the site."""

    def body(self) -> dict[str, Any]:
        """Return the body of the registration."""
        only_year = len(self.born) == 4
        return {
            "name": self.name, "village": self.village, "sex": self.sex, "phone": self.phone,
            "birth_date": None if only_year else self.born,
            "birth_year": int(self.born) if only_year else None,
            "camp_code": self.camp_code, "consent_store": "yes", "consent_send": "yes",
        }  # fmt: skip

    def answers(self) -> dict[str, Any]:
        """Return the body of the answers."""
        return {
            "stable_12_months": self.stable, "contact_lenses": "no", "contact_lens_type": None,
            "contact_lens_days_out": None,
            "pregnant_or_nursing": "no",
            "eye_disease": "no", "eye_disease_note": None,
        }  # fmt: skip


def _id(number: int) -> str:
    """Return a fixed id of the form that phones make (UUID version 7)."""
    return f"0193a5c0-00{number:02d}-7000-8000-0000000000{number:02d}"


PEOPLE = (
    Person(
        _id(1), "saltpan", "Maren Tolley", "SP-0417", "Brine Row", "F", "1999-02-09",
        ("approved", Eye((-900, -250, 15), (4250, 4450, 100), (3050, 3050), 520, (11600, 11640),
                         2640, sulcus_um=12100, rise_um=330)),
        ("begun", Eye((-950, -225, 165), (4275, 4425, 82), (3080, 3080), 522, (11600, 11640))),
    ),
    Person(
        _id(2), "saltpan", "Sanna Orrin", "SP-0402", "Gull Steps", "F", "1992-06-30",
        ("approved", Eye((-700, -75, 170), (4300, 4375, 82), (3180, 3200), 541, (11800, 11820))),
        ("queued", Eye((-725, -50, 10), (4300, 4350, 95), (3190, 3200), 540, (11820, 11840))),
        stable="no",
    ),
    Person(
        _id(3), "north-quay", "Ines Calder", "NQ-0233", "Net Loft Lane", "F", "2002-11-02",
        ("ordered", Eye((-1300, 0, None), (4400, 4425, 90), (3240, 3220), 533, (11500, 11540))),
        ("approved", Eye((-1275, 0, None), (4400, 4450, 88), (3230, 3230), 531, (11520, 11540))),
    ),
    Person(
        _id(4), "upper-glen", "Corin Ashby", "UG-0091", "Fellside", "M", "1997-08-17",
        ("stale", Eye((-825, -125, 5), (4225, 4350, 96), (3100, 3110), 528, (11900, 11920))),
        ("declined", Eye((-300, -50, 175), (4225, 4300, 86), (3120, 3110), 527, (11900, 11920))),
    ),
    Person(
        _id(5), "upper-glen", "Nessa Pryde", "UG-0112", "Weir Cottages", "F", "2001-03-21",
        ("conflict", Eye((-1100, -150, 178), (4325, 4475, 90), (3070, 3060), 535, (11700, 11740))),
        ("ready", Eye((-1075, -125, 4), (4325, 4450, 92), (3080, 3070), 536, (11720, 11740))),
    ),
    Person(
        _id(6), "north-quay", "Tobin Hale", "NQ-0218", "Ropewalk", "M", "1994",
        ("returned", Eye((-650, -200, 90), (4200, 4325, 4), (3150, 3160), 544, (12000, 12020))),
        ("begun", Eye((-675, -175, 88), (4200, 4325, 2), (3150, 3160), 545, (12000, 12020))),
    ),
    Person(
        _id(7), "saltpan", "Wren Marlow", "SP-0398", "Brine Row", "other", "1990-12-11",
        ("cancelled", Eye((-975, -100, 20), (4350, 4450, 108), (3300, 3290), 552, (11600, 11620))),
        ("confirmed", Eye((-950, -100, 160), (4350, 4450, 70), (3290, 3290), 553, (11620, 11640))),
    ),
    Person(
        _id(8), "upper-glen", "Elke Strand", "UG-0105", "Larch Bank", "F", "1996-05-05",
        ("queued", Eye((-1450, -175, 12), (4450, 4600, 102), (2900, 2920), 515, (11300, 11340))),
        ("shallow", Eye((-1475, -150, 168), (4450, 4600, 78), (2740, 2750), 514, (11300, 11340))),
    ),
    Person(
        _id(9), "north-quay", "मीरा तर्नवाल", "NQ-0241", "Lamp Yard", "F", "1998-01-26",
        ("backed", Eye((-775, 0, None), (4275, 4325, 92), (3210, 3200), 538, (11740, 11760))),
        ("ready", Eye((-750, 0, None), (4275, 4325, 89), (3200, 3200), 537, (11740, 11760))),
    ),
    Person(
        _id(10), "saltpan", "نورا المرفأ", "SP-0421", "Gull Steps", "F", "1995-10-08",
        ("queued", Eye((-600, -300, 176), (4175, 4425, 87), (3260, 3250), 546, (11900, 11920))),
        ("begun", Eye((-625, -275, 3), (4175, 4425, 94), (3260, 3260), 547, (11900, 11920))),
    ),
    Person(
        _id(11), "saltpan", "Odd Fenwick", "SP-0425", "Salt House", "M", "2003-09-14",
        ("", Eye((-500, 0, None), (4300, 4350, 90), (3200, 3200), 540, (11700, 11720))),
        ("", Eye((-500, 0, None), (4300, 4350, 90), (3200, 3200), 540, (11700, 11720))),
        stable=UNASKED,
    ),
    Person(
        _id(12), "saltpan", "Petra Lindow", "SP-0362", "Brine Row", "F", "1998-04-19",
        ("followed", Eye((-1000, -75, 8), (4325, 4400, 98), (3200, 3210), 536, (11740, 11760))),
        ("second", Eye((-975, -75, 172), (4325, 4400, 84), (3200, 3200), 537, (11740, 11760))),
        days_ago=56.0,
    ),
    Person(
        _id(13), "north-quay", "Joss Averill", "NQ-0187", "Ropewalk", "M", "1995-07-03",
        ("surprised", Eye((-1125, 0, None), (4375, 4400, 90), (3180, 3190), 541, (11640, 11660))),
        ("second", Eye((-1100, 0, None), (4375, 4425, 92), (3180, 3180), 542, (11640, 11660))),
        days_ago=55.0,
    ),
    Person(
        _id(14), "saltpan", "Tamsin Dray", "SP-0371", "Gull Steps", "F", "2000-12-01",
        ("implanted", Eye((-850, 0, None), (4300, 4350, 90), (3220, 3230), 539, (11800, 11820))),
        ("received", Eye((-825, 0, None), (4300, 4350, 88), (3220, 3220), 540, (11800, 11820))),
        days_ago=25.0,
    ),
    Person(
        _id(15), "saltpan", "Isa Merrow", "SP-0384", "Cooper’s Slip", "F", "1997-10-23",
        ("listed", Eye((-1050, -225, 8), (4300, 4500, 97), (3150, 3160), 534, (11740, 11760),
                       2710)),
        ("ready", Eye((-1025, -200, 172), (4300, 4475, 84), (3160, 3160), 533, (11760, 11780),
                      2690)),
        days_ago=12.0,
    ),
)  # fmt: skip
