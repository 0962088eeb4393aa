"""The same arm past the same vehicle by brusharm and by pymunk 7.3.1 (Chipmunk), a general engine of rigid bodies in the plane.

Frame of both: the unit's, x downstream, y away from the lane centreline; swing 0 = arm straight across, positive = downstream and outboard."""
import json
import math
import os
import subprocess
import sys
import time

import pymunk

PROGRAM = os.environ["BRUSHARM_BIN"]
FILE = "one-band.ron"
ALONE = dict(os.environ, RAYON_NUM_THREADS="1")


def one_band(text):
    """The shipped scenario of one unit with an invented vehicle of a single height band."""
    start = text.index("    vehicles: [")
    end = text.index("    ],", start) + len("    ],")
    body = """    vehicles: [
        Own(
            name: "sedan", class: "sedan", note: "Invented.", length: "4.8 m", width: "1.84 m", height: "56 in",
            body: [(bottom: "10 in", top: "56 in", width: "1.84 m", nose_sweep: "6 in", nose_corner_radius: "14 in",
                    tail_sweep: "4 in", tail_corner_radius: "12 in", side_barrel: "1 in")],
            features: [],
        ),
    ],"""
    return text[:start] + body + text[end:]


def told(*arguments):
    return json.loads(subprocess.run([PROGRAM, *arguments, "--format", "json"], check=True, capture_output=True, text=True, env=ALONE).stdout)


def pass_ms(passes=40):
    """What a pass takes, ms: a sweep of many less one of one, on one thread, the least of three."""
    def took(last):
        begun = time.perf_counter()
        subprocess.run([PROGRAM, "sweep", FILE, "--over", f"throughput=100..{last:.2f}:0.01", "--threads", "1", "--format", "csv"], check=True, capture_output=True, env=ALONE)
        return time.perf_counter() - begun
    return 1e3 * min(took(100 + 0.01 * passes) - took(100) for _ in range(3)) / passes


def outline(band, points_of_arc=12):
    """Corners of a band's outline, m, vehicle frame (nose at x = 0)."""
    corners = []
    for piece in band["outlines"][0]["pieces"]:
        a = (piece["from"]["x_m"], piece["from"]["y_m"])
        corners.append(a)
        if piece["kind"] != "arc":
            continue
        c, sweep = (piece["center"]["x_m"], piece["center"]["y_m"]), piece["sweep_rad"]
        for k in range(1, points_of_arc):
            turn = sweep * k / points_of_arc
            x, y = a[0] - c[0], a[1] - c[1]
            corners.append((c[0] + x * math.cos(turn) - y * math.sin(turn), c[1] + x * math.sin(turn) + y * math.cos(turn)))
    return corners


def engine(machine, radius_m, start_s, end_s, step_s):
    """Swing over time by the general engine, and what it took, ms. `radius_m` is that of its rigid brush."""
    unit, brush = machine["units"][0], machine["units"][0]["brush"]
    pivot = (unit["pivot"]["x_m"], unit["pivot"]["y_m"])
    body, rest = unit["body"], unit["rest"]["swing_rad"]
    space = pymunk.Space()
    space.gravity = (0, 0)
    space.iterations = 10

    def along(r, swing):
        return (pivot[0] + r * math.sin(swing), pivot[1] - r * math.cos(swing))

    cg, length = body["cg_radius_m"], body["length_m"]
    arm = pymunk.Body(body["mass_kg"], body["inertia_kg_m2"] - body["mass_kg"] * cg**2)
    arm.position, arm.angle = along(cg, rest), rest - math.pi / 2
    space.add(arm, pymunk.PivotJoint(space.static_body, arm, pivot))
    # Weight and air pull inboard with what they have at rest; friction of the pivot works against any turn.
    cap = unit["cylinder"]["cap"]
    air_n_m = cap["regulator_gauge_pa"] * cap["area_m2"] * unit["cylinder"]["strut"]["rest_slope_m_rad"]
    drive_n_m = unit["counterweight"]["rest_torque_n_m"] + air_n_m
    pull = pymunk.SimpleMotor(space.static_body, arm, math.copysign(100.0, -drive_n_m))
    pull.max_force = abs(drive_n_m)
    rub = pymunk.SimpleMotor(space.static_body, arm, 0)
    rub.max_force = unit["pivot_friction"]["coulomb_n_m"]
    damper = unit["dampers"][0]
    damping = damper["in_linear_n_s_per_m"] * damper["strut"]["rest_slope_m_rad"] ** 2
    hold = pymunk.DampedRotarySpring(space.static_body, arm, 0, 0, damping)
    stop = pymunk.RotaryLimitJoint(space.static_body, arm, rest - math.pi / 2, 10)
    space.add(pull, rub, hold, stop)
    # The spinning brush, a light body of its own on the spindle.
    spinning = pymunk.Body(1, 0.5 * radius_m**2)
    spinning.position = along(length, rest)
    circle = pymunk.Circle(spinning, radius_m)
    circle.friction = math.sqrt(brush["friction"])
    space.add(spinning, circle, pymunk.PivotJoint(arm, spinning, spinning.position))
    sense = 1 if brush["spin_sense"] == "outboard at nose" else -1
    space.add(pymunk.SimpleMotor(arm, spinning, sense * brush["spin_rad_s"]))
    # Vehicles on the conveyor, which nothing holds up.
    speed = machine["line"]["conveyor_speed_m_s"]
    bands = machine["vehicles"][0]["bands"]
    corners = outline(max(bands, key=lambda band: band["z_high_m"] - band["z_low_m"]))
    for place in machine["train"]:
        vehicle = pymunk.Body(body_type=pymunk.Body.KINEMATIC)
        vehicle.position, vehicle.velocity = (place["nose_at_zero_s"] + speed * start_s, 0), (speed, 0)
        side = pymunk.Poly(vehicle, corners)
        side.friction = math.sqrt(brush["friction"])
        space.add(vehicle, side)
    swings, steps = [], round((end_s - start_s) / step_s)
    begun = time.perf_counter()
    for _ in range(steps):
        space.step(step_s)
        swings.append(arm.angle)
    took = time.perf_counter() - begun
    return [(start_s + (k + 1) * step_s, angle + math.pi / 2) for k, angle in enumerate(swings)], 1e3 * took


with open(FILE, "w", encoding="utf-8") as out:
    out.write(one_band(open(sys.argv[1], encoding="utf-8").read()))
machine, own = told("check", FILE), told("pass", FILE, "--series", "0.05")
series = own["series"][0]
times, swings = series["time_s"], series["swing_rad"]
events = {event["name"]: event["time_s"] for event in own["units"][0]["events"]}
# Beside the vehicle the rigid brush rides where ours does: its radius is what is left of ours under the strips' mean indentation there.
beside = [press for t, press in zip(times, series["deepest_press_m"]) if events["nose_corner"] < t < events["tail_passes_brush"] - 3]
radius_m = machine["units"][0]["brush"]["radius_m"] - sum(beside) / len(beside)
mine_ms = pass_ms()
print(f"brusharm, one band, with measuring: {mine_ms:.1f} ms a pass; {len(times) * 0.05:.0f} s of motion")
for step_s in (1 / 240, 1 / 1000):
    theirs, took_ms = engine(machine, radius_m, times[0], times[-1], step_s)
    place = lambda t: theirs[min(len(theirs) - 1, max(0, round((t - times[0]) / step_s) - 1))][1]
    off = [(abs(math.degrees(place(t) - swing)), t) for t, swing in zip(times, swings)]
    beside_off = [o for o, t in off if events["nose_corner"] + 1 < t < events["tail_passes_brush"] - 3]
    most, at = max(off)
    print(f"pymunk, rigid circle of {radius_m:.3f} m, steps of {1e3 * step_s:.1f} ms: {took_ms:.0f} ms; "
          f"swing {max(beside_off):.1f}° off beside the vehicle, {most:.1f}° at most (at {at:.1f} s)")
    assert took_ms > 0 and len(beside_off) > 20 and max(abs(s - swings[0]) for _, s in theirs) > 0.2, "nothing moved"
print("""
Both: the arm about its pivot, weight and air, friction, the stop at rest, a spinning brush, the outline on the conveyor.
The general engine: any bodies; steps of one length, contacts to an iteration's accuracy. Not: strips that bend (its circle is rigid, and
its radius had to be taken from here), pressure, wipes, work, gaps; air and cable as they change with the swing; a damper with two strokes;
a stop that gives; a located switch. Nothing of what a set-up is judged by comes out of it.""")
