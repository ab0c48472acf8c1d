"""The limits that findings use: defaults with where each comes from, and what a surgeon adopted.

Every limit is a whole number in the recorded unit of what it limits. A default is only a proposal:
until a surgeon's adoption is on record, each plan says so and cannot be approved. The direction of
a limit is fixed in its rule; the words say which side is meant.
"""

from collections import namedtuple

Limit = namedtuple("Limit", ("name", "default", "meaning", "source"))

PRACTICE = "common practice"
LIMITS = (
    # D01 age
    Limit("age_stop_below_y", 18, "no lens below this age", PRACTICE),
    Limit("age_caution_below_y", 21, "caution below this age",
          "over 21 years is the usual requirement (PMC5139554, abstract read)"),
    Limit("age_caution_above_y", 45, "caution above this age",
          "lens opacity above 45 years (PMID 21511155, abstract read); else common practice"),
    # D02 stability, from two refractions a year apart
    Limit("stability_caution_cD", 50, "caution above this change in blur strength",
          "below 0.5 D in a year; test-retest alone is 0.70 D (95 %, Photonics 2024, abstract)"),
    Limit("stability_stop_cD", 100, "no lens above this change", PRACTICE),
    Limit("stability_days", 365, "the two refractions must be this far apart", PRACTICE),
    # D03 chamber depth from the endothelium
    Limit("depth_stop_below_um", 2800, "no lens below this depth", "common practice, from memory"),
    Limit("depth_caution_below_um", 3000, "caution below; no plus lens below", PRACTICE),
    # D04 depth and thickness must fit together
    Limit("depth_surfaces_um", 150, "most that two depths may differ from the thickness", PRACTICE),
    # D05 angle
    Limit("angle_caution_grade", 2, "caution at this grade or below", PRACTICE),
    Limit("angle_stop_grade", 1, "no lens at this grade or below", PRACTICE),
    Limit("angle_caution_below_deg", 30, "caution below this angle",
          "the angle closes by 14.3 to 20.8 degrees after surgery (231 eyes, abstract read)"),
    Limit("angle_stop_below_deg", 20, "no lens below this angle", PRACTICE),
    # D06 endothelium: cells needed now, so that enough are left at an age
    Limit("ecd_stop_end_pmm2", 1000, "cells to be left, stop row", PRACTICE),
    Limit("ecd_stop_loss_e4_per_y", 100, "yearly loss assumed, stop row", PRACTICE),
    Limit("ecd_caution_end_pmm2", 1500, "cells to be left, caution row", PRACTICE),
    Limit("ecd_caution_loss_e4_per_y", 60, "yearly loss assumed, caution row",
          "0.6 % a year in normal ageing (Bourne 1997, IOVS 38:779, abstract read)"),
    Limit("ecd_note_end_pmm2", 1500, "cells to be left, note row", PRACTICE),
    Limit("ecd_note_loss_e4_per_y", 100, "yearly loss assumed, note row", PRACTICE),
    Limit("ecd_end_age_y", 85, "age at which the cells must be left", PRACTICE),
    Limit("ecd_surgical_loss_e4", 500, "loss by the surgery itself",
          "3.5 % at 3 months in one series (abstract read); 5 % assumed"),
    Limit("cells_variation_percent", 45, "caution above this variation of cell size", PRACTICE),
    Limit("cells_hexagonal_percent", 45, "caution below this share of hexagonal cells", PRACTICE),
    Limit("ecd_old_days", 183, "note when the count is older", PRACTICE),
    # D07 pupil in dim light
    Limit("pupil_caution_above_um", 7000, "caution above this pupil",
          "mesopic pupil 6.45 mm, SD 0.82 (13,959 eyes; Linke 2012, abstract read)"),
    # D08 pressure
    Limit("pressure_caution_above_dmmHg", 210, "caution above this pressure", PRACTICE),
    Limit("pressure_stop_above_dmmHg", 240, "no lens above this pressure", PRACTICE),
    Limit("pressure_eyes_differ_dmmHg", 40, "caution when the eyes differ by more", PRACTICE),
    # D09 thin cornea
    Limit("cornea_thin_stop_below_um", 480, "no lens below until the cornea is shown stable",
          "Rabinowitz criteria and common practice, from memory"),
    Limit("kmax_stop_above_cD", 4720, "no lens above this Kmax until shown stable",
          "Rabinowitz criteria, from memory"),
    Limit("inferior_superior_stop_cD", 140, "no lens above this I-S difference until shown stable",
          "Rabinowitz criteria, from memory"),
    Limit("tomography_grade_stop", 1, "no lens from this grade on until shown stable", PRACTICE),
    Limit("kmax_rise_cD", 100, "a Kmax that rose by more is not stable", PRACTICE),
    # D10 keratometry; the outer pair is fixed
    Limit("cornea_flat_caution_cD", 3800, "caution below this power", PRACTICE),
    Limit("cornea_steep_caution_cD", 4800, "caution above this power", PRACTICE),
    # D13 white-to-white
    Limit("wtw_caution_below_um", 10700, "caution below this diameter",
          "11.71 mm, SD 0.42 (390 people; Rufer 2005, Cornea 24:259, abstract read)"),
    Limit("wtw_caution_above_um", 12600, "caution above this diameter", "as above"),
    Limit("wtw_stop_below_um", 10000, "no lens below this diameter", PRACTICE),
    Limit("wtw_stop_above_um", 13500, "no lens above this diameter", PRACTICE),
    # D14 sulcus against white-to-white
    Limit("sulcus_less_wtw_low_um", -100, "caution when sulcus minus white-to-white is below",
          "0.48 mm, SD 0.28 (273 myopes, abstract read)"),
    Limit("sulcus_less_wtw_high_um", 1000, "caution when sulcus minus white-to-white is above",
          "as above"),
    # D15 the two eyes
    Limit("eyes_refraction_cD", 300, "caution when the mean spheres differ by more", PRACTICE),
    Limit("eyes_cornea_cD", 150, "caution when the mean corneal powers differ by more", PRACTICE),
    Limit("eyes_depth_um", 200, "caution when the chamber depths differ by more", PRACTICE),
    Limit("eyes_diameter_um", 300, "caution when white-to-white differs by more", PRACTICE),
    Limit("eyes_thickness_um", 25, "caution when the thicknesses differ by more", PRACTICE),
    Limit("eyes_cells_percent", 10, "caution when the cell counts differ by more", PRACTICE),
    # D16 repeats: standard deviation of one eye's readings
    Limit("repeat_cornea_cD", 25, "spread of keratometry", PRACTICE),
    Limit("repeat_depth_um", 50, "spread of chamber depth", PRACTICE),
    Limit("repeat_diameter_um", 150, "spread of white-to-white", PRACTICE),
    Limit("repeat_sulcus_um", 230, "spread of sulcus-to-sulcus",
          "within-eye 0.23 mm (Reinstein 2009, PMC2649749, abstract read)"),
    Limit("repeat_rise_um", 100, "spread of lens rise", PRACTICE),
    Limit("repeat_thickness_um", 10, "spread of corneal thickness", PRACTICE),
    Limit("repeat_pressure_dmmHg", 20, "spread of pressure", PRACTICE),
    Limit("repeat_cells_percent", 5, "spread of cell counts, in percent of their mean",
          "2.4 to 2.9 % (abstract read)"),
    Limit("repeat_refraction_cD", 35, "spread of refractions, as blur strength", PRACTICE),
    Limit("visit_days", 60, "older readings belong to an earlier visit and are not averaged",
          PRACTICE),
    # D19 to D21 refraction and cornea
    Limit("refractions_disagree_cD", 100, "no plan while two refractions differ by more",
          "a transposition slip moves the vector by more than this (calculated)"),
    Limit("axis_differ_deg", 20, "axis and flat meridian may differ by this", PRACTICE),
    Limit("axis_cylinder_cD", 150, "both cylinders must be this strong to compare axes", PRACTICE),
    Limit("axis_old_cylinder_cD", 100, "both cylinders this strong to compare two refractions",
          PRACTICE),
    # D24 swapped eyes: each eye far from its own other refraction, near that of its fellow
    Limit("swap_apart_cD", 100, "each eye differs from its own by more", PRACTICE),
    Limit("swap_fit_cD", 50, "each eye fits the other's within", PRACTICE),
    Limit("same_values_stop", 4, "no lens when so many quantities equal the other eye's to the last"
          " digit; an axis counts twice", PRACTICE),
    # D25, D26 other refractions of the same visit
    Limit("auto_mean_cD", 75, "caution when auto-refraction differs by more in mean sphere",
          "repeatability of each is 0.5 D (95 %; Sheedy 2004, abstract read)"),
    Limit("auto_blur_cD", 100, "caution when auto-refraction differs by more in blur strength",
          "as above"),
    Limit("cycloplegic_caution_cD", 50, "caution when cycloplegic is more plus by more", PRACTICE),
    Limit("cycloplegic_stop_cD", 100, "no lens when cycloplegic is more plus by more", PRACTICE),
    # D27 days without contact lenses
    Limit("soft_lens_days", 14, "caution below these days without soft lenses",
          "two weeks to return to baseline (1999, PMID 10445193, abstract read)"),
    Limit("rigid_lens_days", 35, "caution below these days without rigid lenses",
          "five weeks to return to baseline (1999, PMID 10445193, abstract read)"),
    # D29 acuity
    Limit("acuity_worse_than_c", 30, "caution when best corrected acuity is worse", PRACTICE),
    # D30 lens power against corneal refraction
    Limit("power_ratio_low_e2", 115, "caution when lens over refraction is below",
          "1.24 at -3 D, 1.20 at -20 D, 1.27 at +5 D (calculated)"),
    Limit("power_ratio_high_e2", 130, "caution when lens over refraction is above", "as above"),
    # D32 predicted vault
    Limit("window_low_um", 250, "lower end of the vault window", "usual in the literature"),
    Limit("window_high_um", 750, "upper end of the vault window", "usual in the literature"),
    Limit("chance_in_window_e4", 5000, "caution when fewer eyes would lie in the window", PRACTICE),
    Limit("vault_low_um", 100, "a vault below is dangerously low", PRACTICE),
    Limit("vault_high_um", 1000, "a vault above is dangerously high", PRACTICE),
    Limit("chance_low_e4", 500, "caution when more eyes would be dangerously low", PRACTICE),
    Limit("chance_high_e4", 1000, "caution when more eyes would be dangerously high", PRACTICE),
    # D33 shape of iris and lens
    Limit("thick_lens_um", 4000, "caution above, when the iris is not flat",
          "vault 160 um with a concave, 880 um with a convex iris (28 eyes, abstract read)"),
    # D31 what the first eye taught
    Limit("outcome_days", 7, "an outcome counts from this many days after surgery",
          "mean vault 517 um at a week, 530 at a month (83 eyes, abstract read)"),
    Limit("outcome_settled_days", 28, "an outcome is settled from then on",
          "high vaults still fall to three months (J Refract Surg 2010;26:327); " + PRACTICE),
    Limit("outcome_scales_e1", 25, "look again when the vault missed by more, in tenths of its"
          " SD, or of the scale of Student's t, a little less, for a first eye", PRACTICE),
    Limit("outcome_refraction_cD", 75, "look again when the mean refraction missed by more",
          PRACTICE),
    Limit("fellow_correlation_e2", 70, "correlation of the two eyes' vault errors, below 100",
          "0.758 from 122.5 um between eyes (109 people, Clin Ophthalmol 2020;14:3563) and 176.2"
          " um residual (925 eyes, BMC Ophthalmol 2022;22:463), rounded down"),
    # E1 to E3 after surgery
    Limit("after_pressure_rise_dmmHg", 50, "caution when pressure rose by this", PRACTICE),
    Limit("after_pupil_um", 1000, "caution when the pupil is larger by more", PRACTICE),
    Limit("after_angle_grades", 2, "caution when the angle narrowed by so many grades", PRACTICE),
    Limit("after_cells_percent", 10, "caution when the count fell by more, in percent", PRACTICE),
    Limit("after_turn_deg", 10, "caution when a toric lens is seen this far from its axis",
          PRACTICE),
    # E3, E4 what to do about a lens in the eye
    Limit("turn_cylinder_cD", 75, "a turned lens is turned back from this cylinder left on",
          "realigned mostly beyond 10 degrees (abstract read); else " + PRACTICE),
    Limit("turn_gain_cD", 50, "or from this gain in blur strength on", PRACTICE),
    Limit("turn_least_gain_cD", 25, "never for less gain than this", PRACTICE),
    Limit("exchange_same_eye_e2", 85, "share of a vault's miss that an eye repeats with another"
          " lens, below 100", "assumed, above the 0.7 of fellow eyes; no published value"),
    Limit("exchange_apart_cD", 75, "look again when the eye without its lens differs by more from"
          " before surgery", PRACTICE),
    # What cannot wait after surgery; vault_low_um and vault_high_um belong to it too
    Limit("urgent_pressure_dmmHg", 300, "cannot wait from this pressure on", PRACTICE),
    Limit("urgent_angle_grade", 1, "an angle of this grade or below counts as closed", PRACTICE),
    Limit("urgent_angle_deg", 10, "an angle of so many degrees or less counts as closed",
          "10 degrees is grade 1 by the usual grading, from memory"),
    Limit("urgent_together_d", 31, "a closed angle this many days from a very high vault belongs"
          " to it", PRACTICE),
    # When an eye is seen after surgery
    Limit("follow_hours", 1, "1: seen within hours of surgery; 0: not planned", PRACTICE),
    Limit("follow_day_d", 1, "first day visit; 0: not planned", PRACTICE),
    Limit("follow_week_d", 7, "week visit; 0: not planned", PRACTICE),
    Limit("follow_month_d", 30, "month visit; 0: not planned", PRACTICE),
    Limit("follow_month3_d", 91, "three-month visit; 0: not planned", PRACTICE),
    Limit("follow_month6_d", 183, "six-month visit; 0: not planned", PRACTICE),
    Limit("follow_yearly_d", 365, "from then on every so many days; 0: not planned", PRACTICE),
    Limit("follow_grace_percent", 25, "late after this share of the time since the visit before",
          PRACTICE),
    Limit("follow_lost_d", 90, "lost to follow-up when late by more days", PRACTICE),
    # D35 age of readings
    Limit("old_refraction_days", 92, "caution when the refraction is older", PRACTICE),
    Limit("old_biometry_days", 183, "caution when other readings are older", PRACTICE),
    # When an order is late
    Limit("order_confirm_days", 7, "ask the supplier when an order is not confirmed after these"
          " days", PRACTICE),
    Limit("order_arrive_days", 42, "ask the supplier when no day of arrival is given after these"
          " days", PRACTICE),
    # Aim
    Limit("target_most_plus_cD", 25, "most plus that may be aimed at in a short-sighted eye",
          PRACTICE),
    # Choice of a lens
    Limit("smallest_cylinder_cD", 50, "offer spherical lenses too below this wanted cylinder",
          PRACTICE),
)  # fmt: skip


def defaults() -> dict[str, int]:
    """Return every limit's default by name."""
    return {limit.name: limit.default for limit in LIMITS}


def is_whole(value: object) -> bool:
    """Return whether a value is a whole number; the two Pythons disagree about True."""
    return isinstance(value, int) and not isinstance(value, bool)


def is_usable(name: str, value: object) -> bool:
    """Return whether a limit can have a value: a whole number, days not negative."""
    if not is_whole(value):
        return False
    if name.startswith("follow_") or name.startswith("order_"):
        return value >= 0  # type: ignore[operator]
    return name != "fellow_correlation_e2" or 0 <= value <= 99  # type: ignore[operator]


def in_force(adopted: dict[str, int] | None) -> dict[str, int]:
    """Return the limits to use: the adopted value where there is one, else the default."""
    values = defaults()
    for name in adopted or {}:
        if adopted and name in values and is_usable(name, adopted[name]):
            values[name] = adopted[name]
    return values


def unusable(adopted: dict[str, int] | None) -> list[str]:
    """Return adopted names that this version does not know or whose value they can't have."""
    known, given = defaults(), adopted or {}
    bad = [name for name in given if name not in known or not is_usable(name, given[name])]
    return sorted(bad)
