"""Scenario texts that must each be refused: what was changed, where, and what the message says."""

# ruff: noqa: E501  (a table reads best with one case a line)

from dataclasses import dataclass

GOOD = """\
leadfall = 1
name = "A drop"

[water]
bottom_ft = 30

[boat]
type = "skiff, 18 ft, one engine"

[helm]
speed_kn = 5
hold_s = 10
orders = []

[mark]
depth_ft = 20

[[rod]]
name = "port"
line = "27 lb leadcore"
colors_out = 6
leader = "50 lb mono leader"
leader_ft = 20
lure = "sinking plug, 5 in"

[[rod]]
name = "starboard"
line = "27 lb leadcore"
colors_out = 4
leader = "50 lb mono leader"
leader_ft = 20
lure = "heavy jig, 3 oz"
"""

LURE = """
[rod.lure]
name = "odd"
kind = "spoon"
mass_g = 30
volume_ml = 10
length_mm = 100
end_area_cm2 = 3
broadside_area_cm2 = 20
"""

SECTION = """
[[rod.section]]
name = "own line"
length_m = 50
diameter_mm = 1
mass_g_per_m = 2
stiffness_n = 1000
"""

PLUG = 'lure = "sinking plug, 5 in"\n'
JIG = 'lure = "heavy jig, 3 oz"\n'
SPOOL = """\
line = "27 lb leadcore"
colors_out = 4
leader = "50 lb mono leader"
leader_ft = 20
"""


@dataclass(frozen=True)
class Case:
    """``old`` in GOOD becomes ``new``; the message must hold key, value and allowed."""

    what: str
    old: str
    new: str
    key: str
    value: str
    allowed: str


def own_lure(old: str, new: str) -> str:
    """An inline lure for the second rod with one value changed."""
    assert old in LURE
    return LURE.replace(old, new)


def own_section(old: str, new: str) -> str:
    """An inline line for the second rod with one value changed."""
    assert old in SECTION
    return 'lure = "heavy jig, 3 oz"\n' + SECTION.replace(old, new)


def with_order(order: str) -> str:
    return f"orders = [{order}]"


def with_course(legs: str) -> str:
    return with_order(f'{{at_s = 1, do = "course", {legs}}}')


def with_line_order(rows: str) -> str:
    """The second rod's lure, and after it one order about a line."""
    return JIG + "\n[[line_orders]]\n" + rows


PROFILE = "[water.bottom_profile]\n"


def with_current(profile: str) -> str:
    return f"bottom_ft = 30\ncurrent_profile = {profile}"


CASES = [
    # keys
    Case("unknown key", "colors_out = 6", "colours_out = 6", "rod 1, colours_out", "6 is under an unknown key", "did you mean colors_out?"),
    Case("unknown table", "[boat]", "[vessel]", "vessel", "", "name"),
    Case("unknown top key", "leadfall = 1", "leadfall = 1\nspeed = 3", "speed", "3", "leadfall, name"),
    Case("misspelled table", "[mark]", "[marks]", "marks", "", "did you mean mark?"),
    Case("missing name", 'name = "A drop"\n', "", "name", "is missing", "text in quotes"),
    Case("missing speed", "speed_kn = 5\n", "", "helm, speed_kn", "is missing", "speed_mps"),
    Case("missing bottom", "bottom_ft = 30\n", "", "water, bottom_ft", "is missing", "bottom_m"),
    Case("missing lure", PLUG, "", "rod 1, lure", "is missing", "text in quotes"),
    Case("missing boat", '[boat]\ntype = "skiff, 18 ft, one engine"\n', "", "boat, type", "is missing", "catalog"),
    Case("both units", "speed_kn = 5", "speed_kn = 5\nspeed_mps = 2", "helm, speed_mps", "2", "only one of speed_kn and speed_mps"),
    Case("both bottoms", "bottom_ft = 30", "bottom_ft = 30\nbottom_m = 9", "water, bottom_m", "9", "only one of"),
    Case("empty key", "leadfall = 1", '"" = 1\nleadfall = 1', "", "1", "leadfall"),
    # version
    Case("newer file", "leadfall = 1", "leadfall = 2", "leadfall", "2 was written by a newer Leadfall", "1"),
    Case("version zero", "leadfall = 1", "leadfall = 0", "leadfall", "0", "1 to"),
    Case("no version", "leadfall = 1\n", "", "leadfall", "is missing", "1 to"),
    # types
    Case("text for a number", "speed_kn = 5", 'speed_kn = "fast"', "helm, speed_kn", "'fast'", "a number, 0.3888 to 23.33 kn"),
    Case("flag for a number", "speed_kn = 5", "speed_kn = true", "helm, speed_kn", "true", "a number"),
    Case("date for a number", "speed_kn = 5", "speed_kn = 2020-01-01", "helm, speed_kn", "2020-01-01", "a number"),
    Case("list for a number", "speed_kn = 5", "speed_kn = [5]", "helm, speed_kn", "[5]", "a number"),
    Case("number for text", 'name = "port"', "name = 1", "rod 1, name", "1", "text in quotes"),
    Case("blank text", 'name = "port"', 'name = "  "', "rod 1, name", "'  '", "printable"),
    Case("long text", 'name = "port"', f'name = "{"x" * 61}"', "rod 1, name", "xxx", "1 to 60 printable"),
    Case("control character", 'name = "port"', 'name = "po\\nrt"', "rod 1, name", "po\\nrt", "printable"),
    Case("text for a table", "[mark]\ndepth_ft = 20", "[run]\nline_elements = 24.5", "run, line_elements", "24.5", "a whole number"),
    Case("notes that are a number", 'name = "A drop"', 'name = "A drop"\nnotes = 3', "notes", "3", "text in quotes"),
    # numbers no model can use
    Case("NaN speed", "speed_kn = 5", "speed_kn = nan", "helm, speed_kn", "nan", "0.3888 to 23.33 kn"),
    Case("infinite bottom", "bottom_ft = 30", "bottom_ft = inf", "water, bottom_ft", "inf", "0.9843 to 6562 ft"),
    Case("minus infinity", "depth_ft = 20", "depth_ft = -inf", "mark, depth_ft", "-inf", "ft"),
    Case("400 digits", "speed_kn = 5", f"speed_kn = 1{'0' * 400}", "helm, speed_kn", "1000", "kn"),
    Case("zero speed", "speed_kn = 5", "speed_kn = 0", "helm, speed_kn", "0", "kn"),
    Case("backwards", "speed_kn = 5", "speed_kn = -5", "helm, speed_kn", "-5", "kn"),
    # water and bottom
    Case("bottom above the water", "bottom_ft = 30", "bottom_ft = -3", "water, bottom_ft", "-3", "0.9843 to 6562 ft"),
    Case("bottom at the water", "bottom_ft = 30", "bottom_ft = 0", "water, bottom_ft", "0", "ft"),
    Case("bottom too shallow", "bottom_ft = 30", "bottom_m = 0.2", "water, bottom_m", "0.2", "0.3 to 2000 m"),
    Case("temperature alone", "bottom_ft = 30", "bottom_ft = 30\ntemperature_c = 12", "water, salinity_psu", "is missing", "together"),
    Case("boiling water", "bottom_ft = 30", "bottom_ft = 30\ntemperature_c = 90\nsalinity_psu = 0", "water, temperature_c", "90", "-2 to 40 °C"),
    Case("water said twice", "bottom_ft = 30", "bottom_ft = 30\ntemperature_c = 9\nsalinity_psu = 0\ndensity_kg_m3 = 1000", "water, density_kg_m3", "1000", "either this or"),
    Case("drift without a set", "bottom_ft = 30", "bottom_ft = 30\ndrift_kn = 1", "water, set_deg", "is missing", "0 to 360"),
    Case("set without a drift", "bottom_ft = 30", "bottom_ft = 30\nset_deg = 90", "water, drift_kn", "is missing", "set_deg"),
    Case("bottom twice", "bottom_ft = 30", f"bottom_ft = 30\n{PROFILE}points_ft = [[0, 30]]", "water, bottom_ft", "30", "bottom_profile"),
    Case("profile above the water", "bottom_ft = 30", f"{PROFILE}points_ft = [[0, 30], [10, -2]]", "water, bottom_profile, points_ft, row 2", "[10.0, -2.0]", "0.9843 to 6562 ft"),
    Case("profile running back", "bottom_ft = 30", f"{PROFILE}points_ft = [[0, 30], [-5, 20]]", "water, bottom_profile, points_ft, row 2", "[-5.0, 20.0]", "rise"),
    Case("profile of nothing", "bottom_ft = 30", f"{PROFILE}points_ft = []", "water, bottom_profile, points_ft", "[]", "[distance, depth]"),
    Case("profile of words", "bottom_ft = 30", f'{PROFILE}points_ft = [["a", 1]]', "water, bottom_profile, points_ft, row 1", "'a'", "finite numbers"),
    Case("profile with NaN", "bottom_ft = 30", f"{PROFILE}points_ft = [[0, nan]]", "water, bottom_profile, points_ft, row 1", "nan", "finite numbers"),
    Case("profile row too short", "bottom_ft = 30", f"{PROFILE}points_ft = [[0]]", "water, bottom_profile, points_ft, row 1", "[0]", "[distance, depth]"),
    Case("profile in two units", "bottom_ft = 30", f"{PROFILE}points_ft = [[0, 9]]\npoints_m = [[0, 3]]", "water, bottom_profile, points_ft", "[[0, 9]]", "only one of"),
    Case("profile without points", "bottom_ft = 30", f"{PROFILE}bearing_deg = 3", "water, bottom_profile, points_ft", "is missing", "[distance, depth]"),
    Case("profile of no name", "bottom_ft = 30", with_current('"powers"'), "water, current_profile", "'powers'", "did you mean 'power'?"),
    Case("profile that is a number", "bottom_ft = 30", with_current("7"), "water, current_profile", "7", "'uniform', 'power'"),
    Case("profile without rows", "bottom_ft = 30", with_current("{}"), "water, current_profile, root", "is missing", "shares_ft"),
    Case("power law with no root", "bottom_ft = 30", with_current("{root = 1}"), "water, current_profile, root", "1", "2 to 20"),
    Case("power law over no water", "bottom_ft = 30", with_current("{floor_ft = 0}"), "water, current_profile, floor_ft", "0", "0.9843 to 6562 ft"),
    Case("profile under no name", "bottom_ft = 30", with_current("{rooot = 7}"), "water, current_profile, rooot", "7 is under an unknown key", "did you mean root?"),
    Case("profile both ways", "bottom_ft = 30", with_current("{root = 7, shares_m = [[2, 1]]}"), "water, current_profile, shares_m", "[[2, 1]]", "only one of"),
    Case("rows in two units", "bottom_ft = 30", with_current("{shares_ft = [[2, 1]], shares_m = [[2, 1]]}"), "water, current_profile, shares_m", "[[2, 1]]", "only one of"),
    Case("row at the surface", "bottom_ft = 30", with_current("{shares_ft = [[0, 1]]}"), "water, current_profile, shares_ft, row 1", "[0.0, 1.0]", "under the surface"),
    Case("rows that rise", "bottom_ft = 30", with_current("{shares_ft = [[9, 1], [5, 0.5]]}"), "water, current_profile, shares_ft, row 2", "[5.0, 0.5]", "each deeper"),
    Case("share of a torrent", "bottom_ft = 30", with_current("{shares_ft = [[9, 3]]}"), "water, current_profile, shares_ft, row 1", "[9.0, 3.0]", "-2 to 2"),
    Case("share with NaN", "bottom_ft = 30", with_current("{shares_ft = [[9, nan]]}"), "water, current_profile, shares_ft, row 1", "nan", "finite numbers"),
    Case("layer without a set", "bottom_ft = 30", with_current("{layers_ft_deg_kn = [[9, 1]]}"), "water, current_profile, layers_ft_deg_kn, row 1", "[9, 1]", "[depth, set, drift]"),
    Case("layer that runs back", "bottom_ft = 30", with_current("{layers_ft_deg_kn = [[9, 90, -1]]}"), "water, current_profile, layers_ft_deg_kn, row 1", "[9.0, 90.0, -1.0]", "0 to 19.44 kn"),
    Case("layer off the compass", "bottom_ft = 30", with_current("{layers_m_deg_mps = [[9, 900, 1]]}"), "water, current_profile, layers_m_deg_mps, row 1", "[9.0, 900.0, 1.0]", "-360 to 360"),
    Case("layers without end", "bottom_ft = 30", with_current("{shares_m = [" + ", ".join(f"[{n}, 1]" for n in range(1, 202)) + "]}"), "water, current_profile, shares_m", "[[1, 1]", "1 to 200 rows"),
    # boat, helm, mark
    Case("unknown boat", 'type = "skiff, 18 ft, one engine"', 'type = "skif, 18 ft, one engine"', "boat, type", "'skif, 18 ft, one engine'", "did you mean 'skiff, 18 ft, one engine'?"),
    Case("boat with three engines", 'type = "skiff, 18 ft, one engine"', 'name = "own"\ntrolling_speed_kn = 5\nhalf_time_s = 5\nengines = 3', "boat, engines", "3", "1 to 2"),
    Case("boat type and values", 'type = "skiff, 18 ft, one engine"', 'type = "skiff, 18 ft, one engine"\nengines = 1', "boat, engines", "1", "type"),
    Case("unknown order", "orders = []", with_order('{at_s = 1, do = "neutral"}'), "helm, order 1, do", "'neutral'", "'out of gear'"),
    Case("order without a time", "orders = []", with_order('{do = "in gear"}'), "helm, order 1, at_s", "is missing", "a number"),
    Case("order before the start", "orders = []", with_order('{at_s = -1, do = "in gear"}'), "helm, order 1, at_s", "-1", "0 to 36,000 s"),
    Case("throttle without a speed", "orders = []", with_order('{at_s = 1, do = "throttle"}'), "helm, order 1, speed_kn", "is missing", "speed_mph"),
    Case("turn inside the boat", "orders = []", with_order('{at_s = 1, do = "wheel", side = "port", turn_radius_ft = 3}'), "helm, order 1, turn_radius_ft", "3", "16.4"),
    Case("turn to a wrong side", "orders = []", with_order('{at_s = 1, do = "wheel", side = "left", turn_radius_ft = 90}'), "helm, order 1, side", "'left'", "'port'"),
    Case("value an order has no use for", "orders = []", with_order('{at_s = 1, do = "in gear", engines = 1}'), "helm, order 1, engines", "1", "at_s, do"),
    Case("order that is not a table", "orders = []", "orders = [3]", "helm, orders", "[3]", "tables"),
    Case("course without legs", "orders = []", with_order('{at_s = 1, do = "course"}'), "helm, order 1, legs_ft", "is missing", "[length, radius]"),
    Case("course of no legs", "orders = []", with_course("legs_ft = []"), "helm, order 1, legs_ft", "[]", "1 to 5000 rows"),
    Case("course in two units", "orders = []", with_course("legs_ft = [[9, 0]], legs_m = [[9, 0]]"), "helm, order 1, legs_m", "[[9, 0]]", "only one of"),
    Case("leg of three numbers", "orders = []", with_course("legs_m = [[9, 0, 1]]"), "helm, order 1, legs_m, row 1", "[9, 0, 1]", "[length, radius]"),
    Case("leg of no length", "orders = []", with_course("legs_m = [[9, 0], [0, 40]]"), "helm, order 1, legs_m, row 2", "[0.0, 40.0]", "0.1 to 100,000 m"),
    Case("leg tighter than she turns", "orders = []", with_course("legs_ft = [[9, -12]]"), "helm, order 1, legs_ft, row 1", "[9.0, -12.0]", "16.4 ft or more to starboard"),
    Case("leg with NaN", "orders = []", with_course("legs_ft = [[9, nan]]"), "helm, order 1, legs_ft, row 1", "nan", "finite numbers"),
    Case("legs of words", "orders = []", with_course('legs_ft = "a circle"'), "helm, order 1, legs_ft", "'a circle'", "[length, radius]"),
    Case("legs an order has no use for", "orders = []", with_order('{at_s = 1, do = "in gear", legs_ft = [[9, 0]]}'), "helm, order 1, legs_ft", "[[9, 0]]", "at_s, do"),
    Case("no hold at all", "hold_s = 10", "hold_s = 0", "helm, hold_s", "0", "0.5 to 600 s"),
    Case("wait before the mark", "hold_s = 10", "wait_s = -1", "helm, wait_s", "-1", "0 to 600 s"),
    Case("wait under a table of motion", "hold_s = 10\norders = []", "wait_s = 9\n[motion]\ntable = [[0, 2, 0]]", "helm, wait_s", "9", "no wait with a prescribed motion"),
    Case("hold under a table of motion", "[mark]", "[motion]\ntable = [[0, 2, 0]]\n[mark]", "helm, hold_s", "10", "no hold with a prescribed motion"),
    Case("motion that runs back", "hold_s = 10\norders = []", "[motion]\ntable = [[1, 2, 0], [0, 2, 0]]", "motion, table", "0.0", "rise"),
    Case("mark under the bottom", "depth_ft = 20", "depth_ft = 40", "mark, depth_ft", "40", "0.3281 to 30 ft"),
    # rods
    Case("negative colors", "colors_out = 6", "colors_out = -3", "rod 1, colors_out", "-3", "0.1 to 40 colors"),
    Case("a billion colors", "colors_out = 6", "colors_out = 1000000000", "rod 1, colors_out", "1000000000", "0.1 to 40 colors"),
    Case("41 colors in meters", "colors_out = 4", "line_out_m = 375", "rod 2, line_out_m", "375", "0.9144 to 365.8 m"),
    Case("line said twice", "colors_out = 6", "colors_out = 6\nline_out_ft = 180", "rod 1, line_out_ft", "180", "only one of colors_out and line_out_ft"),
    Case("same name twice", 'name = "starboard"', 'name = "port"', "rod 2, name", "'port'", "a different name"),
    Case("unknown lure", PLUG, 'lure = "sinking plug, 5in"\n', "rod 1, lure", "'sinking plug, 5in'", "did you mean 'sinking plug, 5 in'?"),
    Case("unknown line", 'line = "27 lb leadcore"\ncolors_out = 4', 'line = "28 lb leadcore"\ncolors_out = 4', "rod 2, line", "'28 lb leadcore'", "did you mean"),
    Case("leader for leadcore", 'line = "27 lb leadcore"\ncolors_out = 4', 'line = "50 lb mono leader"\ncolors_out = 4', "rod 2, line", "'50 lb mono leader'", "'27 lb leadcore'"),
    Case("unknown leader", 'leader = "50 lb mono leader"\nleader_ft = 20\nlure = "heavy', 'leader = "rope"\nleader_ft = 20\nlure = "heavy', "rod 2, leader", "'rope'", "one of"),
    Case("backing needed and missing", "colors_out = 6", "colors_out = 16", "rod 1, backing", "is missing", "text"),
    Case("unknown backing", "colors_out = 6", 'colors_out = 16\nbacking = "string"', "rod 1, backing", "'string'", "'50 lb braid backing'"),
    Case("leader of a mile", "leader_ft = 20\n" + PLUG, "leader_ft = 5280\n" + PLUG, "rod 1, leader_ft", "5280", "100 ft"),
    Case("tip deep under water", PLUG, PLUG + "tip_height_ft = -9\n", "rod 1, tip_height_ft", "-9", "-6.562 to 49.21 ft"),
    Case("tip on another boat", PLUG, PLUG + "tip_abeam_m = 31\n", "rod 1, tip_abeam_m", "31", "-30 to 30 m"),
    # own lures and lines
    Case("negative mass", JIG, own_lure("mass_g = 30", "mass_g = -30"), "rod 2, lure, mass_g", "-30", "0.1 to 20,000 g"),
    Case("denser than osmium", JIG, own_lure("mass_g = 30", "mass_g = 300"), "rod 2, lure, mass_g", "300", "osmium"),
    Case("NaN volume", JIG, own_lure("volume_ml = 10", "volume_ml = nan"), "rod 2, lure, volume_ml", "nan", "ml"),
    Case("unknown kind", JIG, own_lure('kind = "spoon"', 'kind = "spoons"'), "rod 2, lure, kind", "'spoons'", "did you mean 'spoon'?"),
    Case("center outside", JIG, own_lure("length_mm = 100", "length_mm = 100\nmass_center = 1.2"), "rod 2, lure, mass_center", "1.2", "0.02 to 0.98"),
    Case("flag as text", JIG, own_lure("length_mm = 100", 'length_mm = 100\nisotropic = "yes"'), "rod 2, lure, isotropic", "'yes'", "true or false"),
    Case("line denser than osmium", SPOOL + JIG, own_section("mass_g_per_m = 2", "mass_g_per_m = 50"), "rod 2, section 1, mass_g_per_m", "50", "osmium"),
    Case("line with no length", SPOOL + JIG, own_section("length_m = 50\n", ""), "rod 2, section 1, length_ft", "is missing", "length_m"),
    Case("too much own line", SPOOL + JIG, own_section("length_m = 50", "length_m = 399"), "rod 2, section", "399", "40 colors"),
    Case("line both ways", JIG, own_section("stiffness_n = 1000", "stiffness_n = 1000"), "rod 2, line", "'27 lb leadcore'", "either this or"),
    # doubt
    Case("doubt under no name", "[mark]", "[doubt]\nline_dragg = 0.1\n[mark]", "doubt, line_dragg", "0.1 is under an unknown key", "did you mean line_drag?"),
    Case("more doubt than belief", "[mark]", "[doubt]\ncoast_down = 0.6\n[mark]", "doubt, coast_down", "0.6", "0 to 0.5"),
    Case("doubt below none", "[mark]", "[doubt]\nspeed = -0.1\n[mark]", "doubt, speed", "-0.1", "0 to 0.5"),
    Case("doubt in words", "[mark]", '[doubt]\nbottom = "some"\n[mark]', "doubt, bottom", "'some'", "a number, 0 to 0.5"),
    # the card
    Case("card depths that fall", "[mark]", "[card]\ndepths_ft = [40, 30]\n[mark]", "card, depths_ft", "[40, 30]", "1 to 8 depths that rise, 0.9843 to 6562 ft"),
    Case("card depth in words", "[mark]", '[card]\ndepths_ft = ["deep"]\n[mark]', "card, depths_ft", "deep", "1 to 8 depths that rise, 0.9843 to 6562 ft"),
    Case("card depths in both", "[mark]", "[card]\ndepths_ft = [40]\ndepths_m = [4]\n[mark]", "card, depths_m", "[4]", "only one of depths_ft and depths_m"),
    Case("card under no name", "[mark]", "[card]\ndepth_ft = [40]\n[mark]", "card, depth_ft", "is under an unknown key", "did you mean depths_ft?"),
    # the timing
    Case("timing under no name", "[mark]", "[timing]\nclearence_ft = 2\n[mark]", "timing, clearence_ft", "2 is under an unknown key", "did you mean clearance_ft?"),
    Case("clearance under the ground", "[mark]", "[timing]\nclearance_ft = -1\n[mark]", "timing, clearance_ft", "-1", "0 to 6562 ft"),
    Case("radius of nothing", "[mark]", "[timing]\nradius_m = 0.4\n[mark]", "timing, radius_m", "0.4", "0.5 to 200 m"),
    Case("radius of a bay", "[mark]", "[timing]\nradius_ft = 1000\n[mark]", "timing, radius_ft", "1000", "1.64 to 656.2 ft"),
    Case("clearance said twice", "[mark]", "[timing]\nclearance_ft = 2\nclearance_m = 1\n[mark]", "timing, clearance_m", "1", "only one of clearance_ft and clearance_m"),
    Case("clearance in words", "[mark]", '[timing]\nclearance_ft = "some"\n[mark]', "timing, clearance_ft", "'some'", "a number, 0 to 6562 ft"),
    # the run
    Case("run of a week", "[mark]", "[run]\nduration_s = 604800\n[mark]", "run, duration_s", "604800", "1 to 7200 s"),
    Case("half an element", "[mark]", "[run]\nline_elements = 1\n[mark]", "run, line_elements", "1", "2 to 400"),
    # orders about the lines
    Case("order about no line", JIG, with_line_order('at_s = 1\ndo = "fish off"\n'), "line order 1, line", "is missing", "'port', 'starboard'"),
    Case("order about an unknown line", JIG, with_line_order('at_s = 1\nline = "Port"\ndo = "fish off"\n'), "line order 1, line", "'Port'", "did you mean 'port'?"),
    Case("line order without a time", JIG, with_line_order('line = "port"\ndo = "fish off"\n'), "line order 1, at_s", "is missing", "a number"),
    Case("line order before the start", JIG, with_line_order('at_s = -2\nline = "port"\ndo = "fish off"\n'), "line order 1, at_s", "-2", "0 to 36,000 s"),
    Case("unknown line order", JIG, with_line_order('at_s = 1\nline = "port"\ndo = "reel in"\n'), "line order 1, do", "'reel in'", "'line to'"),
    Case("line to nowhere", JIG, with_line_order('at_s = 1\nline = "port"\ndo = "line to"\n'), "line order 1, colors_out", "is missing", "line_out_ft"),
    Case("line all the way in", JIG, with_line_order('at_s = 1\nline = "port"\ndo = "line to"\nline_out_ft = 0\n'), "line order 1, line_out_ft", "0", "1.64 to 1312 ft"),
    Case("line in two units", JIG, with_line_order('at_s = 1\nline = "port"\ndo = "line to"\nline_out_ft = 9\ncolors_out = 1\n'), "line order 1, line_out_ft", "9", "only one of"),
    Case("line faster than any reel", JIG, with_line_order('at_s = 1\nline = "port"\ndo = "line to"\ncolors_out = 1\nrate_ft_s = 90\n'), "line order 1, rate_ft_s", "90", "0.06562 to 16.4 ft/s"),
    Case("fish without a weight", JIG, with_line_order('at_s = 1\nline = "port"\ndo = "fish on"\n'), "line order 1, fish_lb", "is missing", "fish_kg"),
    Case("fish of no weight", JIG, with_line_order('at_s = 1\nline = "port"\ndo = "fish on"\nfish_lb = 0\n'), "line order 1, fish_lb", "0", "0.2205 to 1102 lb"),
    Case("fish in words", JIG, with_line_order('at_s = 1\nline = "port"\ndo = "fish on"\nfish_lb = "big"\n'), "line order 1, fish_lb", "'big'", "a number"),
    Case("fish above the water", JIG, with_line_order('at_s = 1\nline = "port"\ndo = "fish end to"\ndepth_ft = -3\n'), "line order 1, depth_ft", "-3", "0 to 6562 ft"),
    Case("fish faster than any", JIG, with_line_order('at_s = 1\nline = "port"\ndo = "fish end to"\ndepth_m = 3\nrate_mps = 4\n'), "line order 1, rate_mps", "4", "0.02 to 3 m/s"),
    Case("weight of a fish that is gone", JIG, with_line_order('at_s = 1\nline = "port"\ndo = "fish off"\nfish_lb = 3\n'), "line order 1, fish_lb", "3", "at_s, line, do"),
    Case("line orders that are no tables", 'name = "A drop"', 'name = "A drop"\nline_orders = 3', "line_orders", "3", "0 to 1000 tables, each under [[line_orders]]"),
]  # fmt: skip
