"""One measured eye as the readings that an optometrist would enter. All figures are invented."""

from typing import Any, NamedTuple

VERTEX_UM = 12000
Reading = tuple[str, dict[str, Any]]


class Eye(NamedTuple):
    """An invented eye in recorded integers; two values of a quantity are two readings of it."""

    refraction: tuple[int, int, int | None]
    """Sphere [cD], cylinder [cD], axis [deg] or None, at the glasses, vertex 12.0 mm."""
    cornea: tuple[int, int, int]
    """Flat [cD], steep [cD], steep meridian [deg]."""
    depths_um: tuple[int, ...]
    """Chamber depth from the endothelium [um]."""
    thickness_um: int
    diameters_um: tuple[int, ...]
    """White-to-white [um]."""
    cells_pmm2: int = 2650
    pressure_dmmhg: int = 140
    pupil_um: int = 6200
    grade: int = 4
    logmar_c: int = 4
    sulcus_um: int | None = None
    rise_um: int | None = None


def readings(eye: Eye) -> list[Reading]:
    """Return the readings of an eye in the order of the examination."""
    return [
        *_refractions(eye),
        ("reading.acuity", {"logmar_c": eye.logmar_c, "correction": "best_corrected"}),
        *_cornea(eye),
        *_depths(eye),
        *_diameters(eye),
        ("reading.pupil", {"diameter_um": eye.pupil_um, "light": "mesopic"}),
        ("reading.pressure", {"iop_dmmHg": eye.pressure_dmmhg, "device": "tonometer 1"}),
        ("reading.endothelial_count", {"ecd_pmm2": eye.cells_pmm2, "device": "microscope 1"}),
        ("reading.angle", {"method": "gonioscopy", "grade": eye.grade, "angle_deg": None}),
    ]


def _refractions(eye: Eye) -> list[Reading]:
    sphere_cd, cylinder_cd, axis_deg = eye.refraction
    body = {
        "sphere_cD": sphere_cd, "cylinder_cD": cylinder_cd, "axis_deg": axis_deg,
        "plane": "spectacle", "vertex_um": VERTEX_UM, "method": "manifest",
    }  # fmt: skip
    return [("reading.refraction", body)] * 2


def _cornea(eye: Eye) -> list[Reading]:
    flat_cd, steep_cd, meridian_deg = eye.cornea
    body = {
        "unit": "D", "flat_cD": flat_cd, "steep_cD": steep_cd, "flat_radius_um": None,
        "steep_radius_um": None, "steep_meridian_deg": meridian_deg, "device": "keratometer 1",
    }  # fmt: skip
    return [("reading.keratometry", body)] * 2


def _depths(eye: Eye) -> list[Reading]:
    thickness = {"thickness_um": eye.thickness_um, "device": "scanner 2"}
    depths = [
        ("reading.chamber_depth", {"depth_um": um, "surface": "endothelium", "device": "scanner 2"})
        for um in eye.depths_um
    ]
    return [*depths, ("reading.corneal_thickness", thickness)]


def _diameters(eye: Eye) -> list[Reading]:
    found: list[Reading] = [
        ("reading.white_to_white", {"diameter_um": um, "device": "calliper 2"})
        for um in eye.diameters_um
    ]
    if eye.sulcus_um is not None:
        body = {"diameter_um": eye.sulcus_um, "direction": "horizontal", "device": "ultrasound 1"}
        found.append(("reading.sulcus_to_sulcus", body))
    if eye.rise_um is not None:
        rise = {"rise_um": eye.rise_um, "reference": "angle_recess", "device": "scanner 2"}
        found.append(("reading.lens_rise", rise))
    return found
