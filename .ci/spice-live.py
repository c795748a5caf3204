#!/usr/bin/env python3
"""Holds `loomwalk predict` against ngspice, live.

The recorded harness networks are written twice: as a netlist for ngspice and as a machine file for the program, healthy
and with their faults. At every node stands the voltmeter of 10 megohm, one node after the other, in both. The volts must
agree within one part in a million of the supply. A current source stands as volts behind a kilohm, in both alike.

Usage: spice-live.py PROGRAM [FAULTS A NETWORK]
"""
import json
import math
import pathlib
import subprocess
import sys
import tempfile

VECTORS = pathlib.Path(__file__).resolve().parent.parent / "tests/vectors/circuit"
AGREE = 1e-6
BEHIND = 1000.0


def elements(record, fault):
    """Pairs of nodes with volts of the first over the second and ohms between; no ohms is ideal."""
    changed = {m["element"]: m["ohms"] for m in fault["mods"] if m["op"] == "set_ohms"}
    for e in record["elements"]:
        if e["kind"] == "vsource":
            yield e["p"], e["n"], e["volts"], None
        elif e["kind"] == "isource":
            yield e["to"], e["from"], e["amps"] * BEHIND, BEHIND
        else:
            yield e["a"], e["b"], 0.0, changed.get(e["id"], e["ohms"])
    for m in fault["mods"]:
        if m["op"] == "add_resistor":
            yield m["a"], m["b"], 0.0, m["ohms"]


def conducts(ohms):
    return ohms is None or (ohms is not True and ohms != "inf" and math.isfinite(float(ohms)) and float(ohms) < 1e15)


def by_ngspice(record, fault):
    number = {record["ground"]: 0}
    for node in record["nodes"]:
        number.setdefault(node, len(number))
    lines = ["a harness with a voltmeter"]
    for at, (a, b, volts, ohms) in enumerate(elements(record, fault)):
        a, b = number[a], number[b]
        if ohms is None:
            lines.append(f"V{at} {a} {b} {volts!r}")
        elif conducts(ohms) and volts:
            lines += [f"V{at} {a} h{at} {volts!r}", f"R{at} h{at} {b} {ohms!r}"]
        elif conducts(ohms):
            lines.append(f"R{at} {a} {b} {ohms!r}")
    lines += [f"Rmeter{n} {n} 0 1e18" for n in number.values() if n]
    lines += [".options numdgt=15 reltol=1e-10 abstol=1e-16 vntol=1e-13 gmin=1e-20", ".control", "set numdgt=15"]
    for n in number.values():
        if n:
            lines += [f"alter Rmeter{n} = 1e7", "op", f"print v({n})", f"alter Rmeter{n} = 1e18"]
    lines += ["quit", ".endc", ".end"]
    with tempfile.NamedTemporaryFile("w", suffix=".cir") as file:
        file.write("\n".join(lines) + "\n")
        file.flush()
        done = subprocess.run(["ngspice", "-b", file.name], capture_output=True, text=True, timeout=120)
    shown = {}
    for line in done.stdout.splitlines():
        if line.startswith("v(") and "=" in line:
            shown[int(line[2 : line.index(")")])] = float(line.split("=")[1])
    if len(shown) != len(number) - 1:
        sys.exit(f"ngspice did not solve it:\n{done.stdout}\n{done.stderr}")
    return {node: shown[n] for node, n in number.items() if n}


def machine_file(record, fault):
    """The battery is the ideal source on the ground; every node is a point of its own name."""
    first = next(e for e in record["elements"] if e["kind"] == "vsource" and e["n"] == record["ground"])
    name = {record["ground"]: "B-", first["p"]: "B+"}
    point = lambda node: name.get(node, f"N-{node}".replace("_", "-"))
    lines = ["loomwalk: 1", "machine: harness", "title: harness", f"supply: {{volts: {first['volts']:.12g} V}}", "circuits:"]
    for at, (a, b, volts, ohms) in enumerate(elements(record, fault)):
        if (a, b) == (first["p"], record["ground"]) and ohms is None or not conducts(ohms):
            continue
        behind = "" if ohms is None else f", ohms: {float(ohms):.12f} ohm"
        thing = f"source: G{at}, volts: {volts:.12f} V, plus: 2{behind}" if volts else f"resistor: R{at}{behind}"
        lines += [f"  c{at}:", f"    - point: {point(b)}", f"    - {{{thing}}}", f"    - point: {point(a)}"]
    return point, "\n".join(lines) + "\n"


def by_program(program, record, fault):
    point, text = machine_file(record, fault)
    with tempfile.NamedTemporaryFile("w", suffix=".yaml") as file:
        file.write(text)
        file.flush()
        done = subprocess.run([program, "predict", file.name, "--format", "json"], capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"the program does not take it:\n{done.stderr}\n{text}")
    points = json.loads(done.stdout)["points"]
    return {n: points[point(n)]["volts"] for n in record["nodes"] if n != record["ground"] and point(n) in points}


def main():
    program, most = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 12
    compared, worst = 0, 0.0
    for path in sorted(VECTORS.glob("*.json")):
        record = json.loads(path.read_text())
        faults = record["faults"]
        for fault in [faults[0]] + faults[1 :: max(1, len(faults) // most)]:
            theirs, ours = by_ngspice(record, fault), by_program(program, record, fault)
            for node, volts in ours.items():
                apart = abs(volts - theirs[node]) / 12.0
                worst, compared = max(worst, apart), compared + 1
                if not apart <= AGREE:
                    sys.exit(f"{path.name}, {fault['id']}, {node}: ngspice {theirs[node]!r} V, the program {volts!r} V")
            if len(ours) < len(record["nodes"]) * 0.8:
                sys.exit(f"{path.name}, {fault['id']}: only {len(ours)} nodes are told")
    if not compared:
        sys.exit("nothing was compared")
    print(f"{compared} node voltages as ngspice has them, the furthest {worst:.1e} of the supply apart")


main()
