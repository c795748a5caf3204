"""What a user would otherwise have, timed: one line of JSON, seconds by name. `table.py` runs it and sets it beside our own.

    beside.py FOLDER     (with large trees in it, as `table.py` writes them)

Needs numpy, PyYAML with libyaml, and pgmpy.
"""

import json
import math
import pathlib
import sys
import time

import numpy
import yaml
from pgmpy.factors.discrete import TabularCPD
from pgmpy.inference import VariableElimination
from pgmpy.models import BayesianNetwork

VECTORS = pathlib.Path(__file__).resolve().parent.parent / "vectors"


def best(run, rounds=5):
    """The quickest of some rounds, in seconds."""
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        run()
        times.append(time.perf_counter() - begun)
    return min(times)


def belief():
    """Twenty tests over five hundred faults, by arrays and by a network of one cause and twenty effects."""
    case = json.loads((VECTORS / "posterior/h500-0.json").read_text())
    prior = numpy.array(case["prior"])
    tests = {test["id"]: test for test in case["tests"]}
    columns, evidence, network, tables = [], {}, BayesianNetwork(), []
    count = len(prior)
    network.add_node("fault")
    tables.append(TabularCPD("fault", count, [[p] for p in prior]))
    for seen in case["observations"]:
        test = tests[seen["test"]]
        chances = numpy.array(test["likelihood"])
        at = test["outcomes"].index(seen["outcome"])
        columns.append(chances[:, at])
        evidence[test["id"]] = at
        network.add_edge("fault", test["id"])
        tables.append(TabularCPD(test["id"], chances.shape[1], chances.T, ["fault"], [count]))
    network.add_cpds(*tables)
    logs = numpy.log(numpy.array(columns))
    start = numpy.log(prior)

    def arrays():
        sums = start + logs.sum(axis=0)
        chances = numpy.exp(sums - sums.max())
        return chances / chances.sum()

    query = VariableElimination(network)

    def by_network():
        return query.query(["fault"], evidence=evidence, show_progress=False).values

    expected = numpy.array([float(value) for value in case["posterior"]])
    assert numpy.allclose(arrays(), expected, atol=1e-9) and numpy.allclose(by_network(), expected, atol=1e-9)
    posterior = arrays()

    def one_more():
        chances = posterior * columns[0]
        return chances / chances.sum()

    many = 1000
    return {
        "belief numpy": best(lambda: [arrays() for _ in range(many)]) / many,
        "belief pgmpy": best(lambda: [by_network() for _ in range(5)]) / 5,
        "one more numpy": best(lambda: [one_more() for _ in range(many)]) / many,
    }


def plan():
    """The least weighted minutes that tell sixteen faults apart: a dynamic programme over sets, as one would write it."""
    case = json.loads((VECTORS / "sequencing/scale-direct-skewed-f16.json").read_text())
    tests = [(t["cost"], sum(1 << at for at, r in enumerate(t["result"]) if r)) for t in case["tests"]]
    weights = case["weights"]

    def solve():
        known, weight = {}, {}

        def sum_of(some):
            if some not in weight:
                low = some & -some
                rest = some ^ low
                weight[some] = weights[low.bit_length() - 1] + (sum_of(rest) if rest else 0)
            return weight[some]

        def least(some):
            if some & (some - 1) == 0:
                return 0
            if some not in known:
                whole, found = sum_of(some), math.inf
                for cost, mask in tests:
                    yes = some & mask
                    if yes and yes != some:
                        found = min(found, cost * whole + least(yes) + least(some & ~mask))
                known[some] = found
            return known[some]

        return least((1 << len(weights)) - 1)

    assert solve() == case["optimal_value"]
    return {"plan python": best(solve, 3)}


def events(folder):
    """Only the events of a tree's text, by libyaml: nothing is built of them."""
    def all_of(text):
        for _ in yaml.parse(text, Loader=yaml.CLoader):
            pass

    texts = {int(path.stem): path.read_text() for path in pathlib.Path(folder).glob("*.yaml")}
    return {f"libyaml {steps}": best(lambda: all_of(text), 3) for steps, text in texts.items()}


if __name__ == "__main__":
    print(json.dumps(belief() | plan() | events(sys.argv[1])))
