#!/usr/bin/env python3
"""Everything that is meant to be quick, beside what a user would otherwise have, in one run: a table of ratios.

    python3 tests/bench/table.py

Builds the program in release, runs the benches of this folder, and runs the counterparts on the same machine after them:
`less`, `nano`, `jq` and `ngspice` where they are installed, and numpy, PyYAML (libyaml) and pgmpy in an environment of
their own under `target/`. A ratio over 1 means that ours is quicker.
"""

import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
# The last release of pgmpy that does not import torch; its other needs are named.
NEEDS = ["numpy<2", "pyyaml", "networkx", "scipy", "pandas<3", "pyparsing", "tqdm", "joblib", "opt_einsum", "statsmodels", "scikit-learn"]
UNITS = {"ns": 1e-9, "µs": 1e-6, "ms": 1e-3, "s": 1.0}
STEPS = [60, 1_000, 10_000, 100_000]
JOBS = 10_000


def output(*words, **more):
    return subprocess.run(words, cwd=ROOT, check=True, text=True, capture_output=True, **more).stdout


def bench(name, *words):
    print(f"cargo bench --bench {name} …", file=sys.stderr)
    return output("cargo", "bench", "--quiet", "--bench", name, "--", *words)


def seconds(text):
    number, unit = re.match(r"\s*([\d.]+)\s*(ns|µs|ms|s)", text).groups()
    return float(number) * UNITS[unit]


def medians(printed):
    """Seconds by name, of a table with the columns fastest, slowest, median, mean."""
    found = {}
    for line in printed.splitlines():
        cells = line.split("│")
        named = re.match(r"[├╰]─ (\w+)\s+[\d.]", cells[0])
        if named and len(cells) > 3:
            found[named[1]] = seconds(cells[2])
    return found


def tree_of(steps):
    """A tree of so many steps, each leading to the next and to one further on: 340 bytes a step."""
    words = [
        "What did the lamp do while the harness was moved by hand along its way to the next clamp",
        "When you followed the harness: rubs, heat, green copper, water in plugs, or nothing of that",
    ]
    lines = ["loomwalk: 1", "tree: large", "title: A large tree", "start: s0", "steps:"]
    for at in range(steps - 1):
        near, far = at + 1, min(at + 7, steps - 1)
        lines += [
            f"  s{at}:",
            f'    ask: "{words[at % 2]}, number {at}?"',
            "    answers:",
            f"      same: {{text: Nothing changed and nothing is to be seen, means: steady, go: s{near}}}",
            f"      other: {{text: It blinked or is rubbed through, means: loose or damaged, go: s{far}}}",
            "    text: Wipe it first, and hold it by hand only.",
        ]
    lines.append(f"  s{steps - 1}: {{gates: [park, lower-arms, lower-cab, lockout, leave], go: end}}")
    lines.append("  end: {refer: Somebody else goes on}")
    return "\n".join(lines) + "\n"


def timed(*words, rounds=3):
    """The quickest of some runs of a whole program, in seconds."""
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        done = subprocess.run(words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
        times.append(time.perf_counter() - begun)
        if done.returncode > 1:
            sys.exit(f"{words[0]}: exit {done.returncode}: {done.stderr[:500]}")
    return min(times)


def python():
    """An interpreter that has the libraries."""
    folder = ROOT / "target/beside"
    if not (folder / "bin/python").exists():
        output(sys.executable, "-m", "venv", str(folder))
        output(str(folder / "bin/pip"), "install", "--quiet", *NEEDS)
        output(str(folder / "bin/pip"), "install", "--quiet", "--no-deps", "pgmpy==0.1.21")
    return str(folder / "bin/python")


def jobs_in(folder, program):
    """So many jobs: the demo job, each copy a file of its own."""
    one = folder / "one"
    answers = "demo/no-lift.answers.yaml"
    output(program, "walk", "tern/no-lift-no-tilt", "--answers", answers, "--jobs", str(one), "--job", "one")
    text = next(one.glob("one*")).read_bytes()
    name = next(one.glob("one*")).name
    many = folder / "many"
    many.mkdir()
    for at in range(JOBS):
        (many / name.replace("one", f"{at:05}", 1)).write_bytes(text)
    return many


def shown(time_taken):
    for unit in ("s", "ms", "µs"):
        if time_taken >= UNITS[unit]:
            return f"{time_taken / UNITS[unit]:.3g} {unit}"
    return f"{time_taken / 1e-9:.3g} ns"


def main():
    rows = []

    def row(what, own, beside, other):
        if own and other:
            rows.append(f"| {what} | {shown(own)} | {beside} | {shown(other)} | {other / own:.2g} |")

    output("cargo", "build", "--release", "--quiet")
    program = str(ROOT / "target/release/loomwalk")
    own = medians(bench("reason"))
    circuit_text = bench("circuit")
    circuit = medians(circuit_text)
    screen = bench("screen")
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        trees = folder / "trees"
        trees.mkdir()
        for steps in STEPS:
            (trees / f"{steps}.yaml").write_text(tree_of(steps))
        checks = {steps: timed(program, "check", str(trees / f"{steps}.yaml")) for steps in STEPS}
        others = json.loads(output(python(), "tests/bench/beside.py", str(trees)))
        for steps in STEPS:
            row(f"start, load and check {steps:,} steps", checks[steps], "libyaml, its events only", others[f"libyaml {steps}"])
        if shutil.which("jq"):
            many = jobs_in(folder, program)
            ours = timed(program, "job", "list", "--jobs", str(many))
            files = sorted(str(path) for path in many.iterdir())
            theirs = timed("jq", "-c", "select(.prev == null)|.at", *files, rounds=1)
            row(f"list {JOBS:,} jobs, each line hashed", ours, "jq, first events only", theirs)
    row("belief, 500 faults after 20 tests", own.get("belief_500_faults_20_tests"), "numpy", others["belief numpy"])
    row("belief, 500 faults after 20 tests", own.get("belief_500_faults_20_tests"), "pgmpy", others["belief pgmpy"])
    row("one more observation", own.get("one_more_observation_500_faults"), "numpy", others["one more numpy"])
    row("exact plan, 16 suspects, 65,519 sets", own.get("exact_plan_16_suspects_65519_sets"), "Python, sets in a dictionary", others["plan python"])
    row("100 faults of a 40-node network", circuit.get("star_mesh_100_faults"), "dense LU (nalgebra)", circuit.get("dense_lu_100_faults"))
    simulator = re.search(r"ngspice.*?: ([\d.]+\s*\S+)$", circuit_text, re.M)
    row("100 faults of a 40-node network", circuit.get("star_mesh_100_faults"), "ngspice, its loop", simulator and seconds(simulator[1]))
    print("| what | ours | beside | theirs | times quicker |\n| --- | --- | --- | --- | --- |")
    print("\n".join(rows))
    print("\nWithout a counterpart:\n")
    for name in own | circuit:
        if not re.search("plain|dense|star_mesh|belief|observation|65519", name):
            print(f"- {name.replace('_', ' ')}: {shown((own | circuit)[name])}")
    print(f"\nOn the screen, in pseudo-terminals of 80×24:\n\n{screen.strip()}")


if __name__ == "__main__":
    os.environ.setdefault("CARGO_TERM_COLOR", "never")
    main()
