"""What trousers may look like: the measures and forms of one style, chosen at random.

Ranges are common practice, no source: from a child's shorts to a man's work trousers of hip 1400. A style is a dict of plain
numbers and words, so that a kept draft can be read and drawn again.
"""


def style(rng):
    hip = rng.choice([rng.uniform(580, 840), rng.uniform(840, 1160), rng.uniform(840, 1160), rng.uniform(1160, 1400)])
    small = hip < 760
    made = {
        "hip": hip,
        "straight": rng.uniform(60, min(240, 0.24 * hip)),
        "front_straight_less": rng.uniform(0, 40),
        "lean_front": rng.choice([0.0, rng.uniform(0, 4), rng.uniform(0, 4), rng.uniform(4, 8)]),
        "lean_back": rng.uniform(0, 20),
        "extension_front": hip * rng.uniform(0.045, 0.066),
        "extension_back": hip * rng.uniform(0.088, 0.125),
        "curve_front": hip * rng.uniform(0.06, 0.1),
        "curve_back": hip * rng.uniform(0.08, 0.125),
        "curve": rng.choice(["cubic", "conic", "superellipse", "arcs"]),
        "fullness": rng.uniform(0.34, 0.47),
        "fork_tilt": rng.uniform(-4, 4),
        "inseam_shorter": rng.uniform(3, 6),
        "width_front": hip / 4 + rng.uniform(-8, 12),
        "width_back": hip / 4 + rng.uniform(5, 22),
        "waist": hip * rng.uniform(0.17, 0.21),
        "centre_form": rng.choice(["straight"] * 7 + ["hollow", "bulging", "nipped", "wave"]),
        "centre_depth": rng.uniform(1.5, 8),
        "waist_dip": rng.choice([0.0, 0.0, rng.uniform(-4, 14), rng.uniform(4, 26)]),
        "knee_width": hip * rng.uniform(0.4, 0.56),
        "hem_width": hip * rng.uniform(0.34, 0.6),
    }
    made.update(legs(rng, small))
    made.update(features(rng, made))
    return made


def legs(rng, small):
    """How far the legs reach down, and how the inseam runs."""
    reach = rng.choice(["long", "long", "long", "long", "capri", "shorts"])
    size = {"long": rng.uniform(640, 860), "capri": rng.uniform(400, 560), "shorts": rng.uniform(110, 300)}[reach]
    if small:
        size *= 0.62
    inseam = rng.choice(["knee", "knee", "knee", "whole", "whole", "two", "two-knee"])
    if reach != "long":
        inseam = rng.choice(["whole", "whole", "two"])
    return {"reach": reach, "leg": size, "inseam": inseam, "knee_at": rng.uniform(0.42, 0.5)}


def features(rng, made):
    """What a part of the trousers has and others have not."""
    dart = rng.choice(["none"] * 6 + ["both", "both", "sew"])
    return {
        "yoke": made["straight"] > 135 and rng.random() < 0.25 and rng.uniform(45, 75) or 0.0,
        "fly": rng.choice(["none"] * 8 + ["both", "cut"]) if made["centre_form"] == "straight" else "none",
        "fly_width": rng.uniform(32, 45),
        "fly_share": rng.uniform(0.7, 0.9),
        "dart": dart,
        "dart_width": rng.uniform(8, 24),
        "dart_depth": rng.uniform(60, 110),
        "pleat": rng.choice(["none"] * 8 + ["both", "cut"]),
        "vent": rng.random() < 0.08,
        "curve_note": rng.random(),
    }


def graded(base, k):
    """The same style so many sizes up."""
    made = dict(base)
    step = {"hip": 40, "straight": 4, "extension_front": 2, "extension_back": 4, "curve_front": 3, "curve_back": 3.5,
            "width_front": 10, "width_back": 10, "waist": 9.5, "knee_width": 14, "hem_width": 8, "leg": 2}
    for key, by in step.items():
        made[key] = base[key] + by * k
    return made
