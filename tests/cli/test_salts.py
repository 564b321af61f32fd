"""`salts`, `label`, `soil` and what `where` and `basins` say of salt: typed as people type it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import SITE, Runner

REPORT = """
[site.tap_water]
ec_us_cm = 620
calcium_meq_l = 2.4
magnesium_ppm = 12.1525
sodium_meq_l = 2.8
alkalinity_mg_l = 150
boron_mg_l = 0.1
"""


@pytest.fixture
def reported(home: Runner, tmp_path: Path) -> Runner:
    """The household with its water report and a powder."""
    text = SITE + REPORT + '\n[[product]]\nname = "soda"\nkind = "booster"\nform = "powder"\n' \
        '\n[[usual_load]]\nname = "sheets"\nproducts = ["soda"]\n'
    (tmp_path / "more.toml").write_text(text, encoding="utf-8")
    answer = home("setup", "apply", str(tmp_path / "more.toml"))
    assert answer.code == 0, answer.err
    return home


def test_without_a_report_every_figure_is_null_and_it_says_why(home: Runner) -> None:
    assert home("where", "towels", "--json").json["water"] == dict.fromkeys(
        ("ecw_ds_m", "sar", "sar_adjusted", "boron_mg_l"))
    for basin in home("basins", "--json").json["basins"]:
        assert [basin[key] for key in ("ece_ds_m", "soil_sar", "salt_kg", "leaching_owed_l")] == [None] * 4
    told = home("salts")
    assert told.code == 0 and "The tap water is not known" in told.out
    assert "3.0 g" in told.out       # what the products bring is told all the same


def test_with_a_report_a_load_and_a_soil_have_figures(reported: Runner) -> None:
    water = reported("where", "towels", "--json").json["water"]
    # 3 g of sodium in 68.1 L on 2.8 me/L, over 3.4 me/L of calcium and magnesium (FAO-29 ch. 3)
    sodium = 2.8 + 3000 / 22.98977 / 68.137
    assert water["sar"] == pytest.approx(sodium / (3.4 / 2) ** 0.5, abs=0.005)
    assert water["ecw_ds_m"] == pytest.approx(0.62 + 3000 / 22.98977 / 68.137 / 10, abs=0.002)
    assert water["boron_mg_l"] == 0.1
    basin = next(one for one in reported("basins", "--json").json["basins"] if one["name"] == "Fig")
    assert basin["ece_ds_m"] == 0.5 and basin["salt_kg"] > 0.0 and basin["leaching_owed_l"] == 0.0
    out = reported("salts").out
    assert out.index("towels") < out.index("sheets") and "sheets, a liquid for “soda”: SAR" in out
    assert "carrot: 1 dS/m" in out and "fig: 2.7 dS/m" in out
    answer = reported("salts", "--json").json
    assert {one["load"] for one in answer["loads"]} == {"towels", "whites", "diapers", "sheets"} & {
        one["load"] for one in answer["loads"]}
    assert answer["basins"][0]["ece_ds_m"] == 0.5


def test_a_label_is_read_in_line_by_line(reported: Runner) -> None:
    assert "what soda is made of" in reported("salts").out
    told = reported("label", "soda", "--line", "Sodium carbonate 60-70 %", "--line", "borax 10 %", "--line", "sparkle",
                    "--dose", "2 oz")
    assert told.code == 0, told.err
    assert "sodium carbonate, 60 to 70 %: brings sodium and alkali." in told.out
    assert "“sparkle”, as much as the others leave: not known" in told.out
    shown = reported("setup", "show").out
    assert 'label = ["Sodium carbonate 60-70 %", "borax 10 %", "sparkle"]' in shown and "dose_g = 56.699" in shown
    assert "borax = true" in shown
    out = reported("salts").out
    assert "“sparkle” of soda" in out and "what soda is made of" not in out
    warned = reported("where", "sheets").out
    assert "boron" in warned
    again = reported("label", "soda", "--line", "Sodium carbonate 60-70 %", "--line", "borax 10 %", "--line", "sparkle",
                     "--dose", "2 oz")
    assert again.code == 2 and "already says" in again.err


@pytest.mark.parametrize(("words", "said"), [
    (("label", "soda", "--line", "borax 130 %"), "between 0 and 100 %"),
    (("label", "soda"), "at least one line"),
    (("label", "sugar", "--line", "borax"), "sugar"),
    (("label", "soda", "--line", "borax", "--dose", "a cup"), "not a weight"),
    (("soil", "fig"), "What was measured?"),
    (("soil", "fig", "--ec", "2.4"), "dS/m"),
    (("soil", "fig", "--ph", "15"), "0 to 14"),
    (("soil", "fig", "--sar", "-1"), "0 to 100"),
    (("soil", "fig", "--sar", "3", "--esp", "4"), "SAR or ESP"),
    (("soil", "nowhere", "--ph", "7"), "nowhere"),
    (("soil", "fig", "--ec", "2 dS/m", "--extract", "tea"), "tea"),
    (("soil", "fig", "--ec", "0.2 dS/m", "--sar", "3", "--extract", "1:5"), "The SAR of a 1:5 extract"),
    (("soil", "fig", "--sar", "3", "--boron", "1 mg/L", "--extract", "1:5"), "The SAR and boron of a 1:5 extract"),
])
def test_what_cannot_be_is_refused_and_nothing_is_written(reported: Runner, words: tuple[str, ...], said: str) -> None:
    before = len(reported("entries", "--json").json["entries"])
    answer = reported(*words)
    assert answer.code == 2 and said in answer.err
    assert len(reported("entries", "--json").json["entries"]) == before


def test_a_soil_test_is_logged_compared_corrected_and_wins(reported: Runner) -> None:
    told = reported("soil", "fig", "--ec", "2400 uS/cm", "--sar", "4.5", "--boron", "0.6 mg/L", "--ph", "7.8")
    assert told.code == 0, told.err
    assert "soil of Fig: EC 2.4 dS/m, SAR 4.5, boron 0.6 mg/L, pH 7.8 (saturation extract)" in told.out
    assert "ECe: measured 2.4 dS/m, reckoned 0.5 dS/m" in told.out
    assert "boron: measured 0.6 mg/L, reckoned 0.0" in told.out and "reckoned 0.0 mg/L" not in told.out

    def ece() -> float:
        return float(next(b["ece_ds_m"] for b in reported("basins", "--json").json["basins"] if b["name"] == "Fig"))

    assert ece() == pytest.approx(2.4)
    number = reported("entries", "--json", "--last", "1").json["entries"][0]["id"]
    assert reported("correct", str(number), "--ec", "1.2 dS/m").code == 0
    assert ece() == pytest.approx(1.2)
    assert "EC 1.2 dS/m, SAR 4.5" in reported("entries", "--last", "1").out
    refused = reported("correct", str(number + 1), "--extract", "1:5")
    assert refused.code == 2 and "The SAR and boron of a 1:5 extract" in refused.err and ece() == pytest.approx(1.2)
    # one part of soil in five of water: Slavich and Petterson 1993, clay x 7.5
    assert reported("soil", "fig", "--ec", "1.1 dS/m", "--esp", "6", "--extract", "1:5").code == 0
    assert ece() == pytest.approx(1.1 * 7.5)


def test_a_balance_that_cannot_be_is_told_when_the_setup_is_applied(reported: Runner, tmp_path: Path) -> None:
    (tmp_path / "odd.toml").write_text(SITE + REPORT.replace("sodium_meq_l = 2.8", "sodium_meq_l = 28"),
                                       encoding="utf-8")
    answer = reported("setup", "apply", str(tmp_path / "odd.toml"), "--dry-run")
    assert "cations add up to 31.4 me/L" in answer.out + answer.err


def test_what_a_dose_of_each_product_brings(reported: Runner) -> None:
    out = reported("salts").out
    assert "“plain liquid” brings a dose 3.0 g of sodium" in out
    bleach = next(one for one in reported("salts", "--json").json["products"] if one["product"] == "bleach")
    # hypochlorite of 5.25 to 8.25 % in 60 to 120 g is worth 0.952 of its weight in chlorine
    assert bleach["chlorine_mg"] == pytest.approx([60 * 52.5 * 0.9525, 120 * 82.5 * 0.9525], rel=1e-3)
    assert bleach["sodium_g"] == [5.0, 5.0]


def test_boron_that_the_water_report_leaves_open_was_not_reckoned(home: Runner, tmp_path: Path) -> None:
    (tmp_path / "more.toml").write_text(SITE + REPORT.replace("boron_mg_l = 0.1", 'boron_mg_l = "not known"'), "utf-8")
    assert home("setup", "apply", str(tmp_path / "more.toml")).code == 0
    assert "boron: measured 0.6 mg/L, not calculated;" in home("soil", "fig", "--boron", "0.6 mg/L").out


def test_an_extract_that_is_not_known_is_not_guessed_from_its_figures(reported: Runner) -> None:
    answer = reported("soil", "fig", "--ec", "2.4 dS/m", "--extract", "1:2")
    assert answer.code == 2 and "Choose from: saturation, 1:5." in answer.err


def test_a_load_that_no_product_makes_fit_for_the_garden_gets_no_advice_on_products(reported: Runner) -> None:
    changes = {row["load"]: row["changes"] for row in reported("salts", "--json").json["loads"]}
    assert changes["diapers"] == [] and changes["towels"]
