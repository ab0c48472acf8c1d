/** What the pages say: numbers, sentences, ages, in the words a person hears. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { lengthSentence } from "../../../static/ui/beam_figure.js";
import { age, sinceInWords } from "../../../static/ui/moments.js";
import {
  cylindrical,
  dioptres,
  millimetres,
  ofHundred,
  ofHundredSaid,
} from "../../../static/ui/numbers.js";
import { readingSentence, readingShown } from "../../../static/ui/readings.js";
import { slitWords } from "../../../static/ui/slits.js";

const REFRACTION = {
  sphere_cD: -1225,
  cylinder_cD: -150,
  axis_deg: 180,
  plane: "spectacle",
  vertex_um: 12000,
};

describe("how long ago", () => {
  it("is in whole units that are over, as the desk counts: 3 days and 20 hours are 3 days", () => {
    const at = (/** @type {number} */ hours) => sinceInWords("2026-11-25T00:00:00Z", Date.parse("2026-11-25T00:00:00Z") + hours * 3_600_000);
    assert.deepEqual([0.999, 14.9, 92].map(at), ["59 minutes", "14 hours", "3 days"]);
  });
});

describe("numbers", () => {
  it("have the true minus, an explicit plus, and no sign at zero", () => {
    assert.deepEqual([-900, 25, 0].map(dioptres), ["−9.00", "+0.25", "0.00"]);
  });
  it("are never rounded by being shown", () => {
    assert.equal(millimetres(11625), "11.625");
    assert.equal(millimetres(12500), "12.50");
  });
  it("say sphere where there is no cylinder", () => {
    assert.equal(cylindrical({ sphere_cD: -900, cylinder_cD: 0, axis_deg: null }), "−9.00 sphere");
  });
  it("as chances are counts of a hundred, never 0 and never 100", () => {
    assert.deepEqual([0, 49, 50, 9600, 9950, 9951].map(ofHundred), [
      "<1",
      "<1",
      "1",
      "96",
      "100",
      ">99",
    ]);
    assert.equal(ofHundredSaid(49), "under 1");
  });
});

describe("a reading", () => {
  it("is said back with eye, sign words, unit and plane", () => {
    assert.equal(
      readingSentence("R", "reading.refraction", REFRACTION),
      "Right eye: minus 12.25, cylinder minus 1.50 at 180, at the glasses, vertex 12.0 mm.",
    );
  });
  it("names the unit its cornea was read in", () => {
    const body = {
      unit: "mm",
      flat_radius_um: 7800,
      steep_radius_um: 7600,
      steep_meridian_deg: 90,
      device: "keratometer 1",
    };
    assert.equal(
      readingSentence("L", "reading.keratometry", body),
      "Left eye: flat 7.80, steep 7.60 mm, steep at 90, keratometer 1.",
    );
  });
  it("names the surface its depth was measured from", () => {
    const body = { depth_um: 3050, surface: "epithelium", device: "scanner 2" };
    assert.deepEqual(readingShown("reading.chamber_depth", body), {
      value: "3.05",
      unit: "mm",
      note: "from epithelium",
    });
    assert.match(
      readingSentence("R", "reading.chamber_depth", body),
      /front of the cornea \(epithelium\)/,
    );
  });
});

describe("a length", () => {
  it("is one sentence of vault, interval and three counts", () => {
    const row = {
      length_um: 12500,
      mean_um: 460,
      low95_um: 236,
      high95_um: 684,
      p_low_e4: 300,
      p_in_e4: 9600,
      p_high_e4: 100,
      curve: [],
    };
    assert.equal(
      lengthSentence(row),
      "12.50 millimetres. Predicted vault 460 micrometres, 95 in 100 between 236 and 684. " +
        "Of 100 such eyes: 96 in the window, 3 too low, 1 too high.",
    );
  });
});

describe("an age", () => {
  it("turns on the birthday", () => {
    const person = { birth_date: "1999-11-25", birth_year: null };
    assert.equal(age(person, "2026-11-24"), "26");
    assert.equal(age(person, "2026-11-25"), "27");
  });
  it("is only about right where the year alone is known", () => {
    assert.equal(age({ birth_date: null, birth_year: 1999 }, "2026-11-25"), "about 27");
  });
});

describe("slits", () => {
  it("are counted in words", () => {
    assert.equal(slitWords(2, 1), "2 readings taken, 1 more wanted");
    assert.equal(slitWords(1, 0, 1), "1 reading taken, 1 withdrawn");
  });
});

describe("a further reading", () => {
  const EARLIER = { ...REFRACTION, source: "prescription", dated: "2025-03-01" };
  const MAP = {
    ...{ values: "kmax_is", kmax_cD: 4610, is_cD: -35, map_grade: "0" },
    device_flag: "warning",
  };
  const PLAIN_MAP = {
    ...{ ...MAP, values: "kmax", is_cD: null },
    ...{ map_grade: "not_given", device_flag: "none" },
  };

  it("from paper says where it was read and when it was made", () => {
    assert.equal(
      readingSentence("R", "reading.earlier_refraction", EARLIER),
      "Right eye: earlier minus 12.25, cylinder minus 1.50 at 180, at the glasses, vertex 12.0 mm," +
        " from a prescription, 1 Mar 2025.",
    );
    const { note } = readingShown("reading.earlier_refraction", EARLIER);
    assert.equal(note, "a prescription, 1 Mar 2025");
  });
  it("of a map says what the device gave and nothing else", () => {
    assert.equal(
      readingSentence("L", "reading.tomography", { ...MAP, device: "scanner 2" }),
      "Left eye: Kmax 46.10 D, I−S minus 0.35, grade 0, device warns, scanner 2.",
    );
    assert.equal(readingShown("reading.tomography", MAP).note, "I−S −0.35, grade 0, device warns");
    assert.equal(readingShown("reading.tomography", PLAIN_MAP).note, "");
    const old = { ...PLAIN_MAP, made_on: "2025-03-01" };
    assert.equal(readingShown("reading.tomography", old).note, "map of 1 Mar 2025");
  });
  it("without a number is its word", () => {
    const iris = { profile: "concave" };
    assert.equal(readingShown("reading.iris_profile", iris).value, "Concave, bowed back");
    assert.equal(
      readingSentence("R", "reading.iris_profile", iris),
      "Right eye: iris profile concave, bowed back.",
    );
  });
  it("of cell shapes has both shares", () => {
    const body = { cv_percent: 34, hexagonal_percent: 58 };
    assert.equal(readingShown("reading.endothelial_mosaic", body).value, "34 / 58");
  });
});
