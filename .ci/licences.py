"""Every library in the build has a licence that lets the program be handed on under MIT or Apache-2.0.

Reads `cargo metadata --format-version 1` from standard input, prints how many libraries stand under which terms, and
fails on terms that are missing or not in the list below (SPDX identifiers).
"""

import collections
import json
import re
import sys

FREE = {
    "MIT", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "ISC", "Zlib", "Unlicense", "CC0-1.0", "BSL-1.0",
    "Unicode-3.0", "Unicode-DFS-2016", "MIT-0", "0BSD", "MPL-2.0", "CDLA-Permissive-2.0",
}  # fmt: skip


def free(terms):
    """True if one alternative of an SPDX expression consists of listed licences only."""
    text = re.sub(r"\s+WITH\s+LLVM-exception", "", terms.replace("/", " OR "))
    words = re.findall(r"\(|\)|[^\s()]+", text)

    def either():
        found = every()
        while words and words[0] == "OR":
            words.pop(0)
            found = every() or found
        return found

    def every():
        found = one()
        while words and words[0] == "AND":
            words.pop(0)
            found = one() and found
        return found

    def one():
        word = words.pop(0)
        if word == "(":
            found = either()
            words.pop(0)
            return found
        return word in FREE

    return either()


def main():
    packages = json.load(sys.stdin)["packages"]
    terms = collections.Counter(package["license"] or "none said" for package in packages)
    for name, count in sorted(terms.items()):
        print(f"{count:4}  {name}")
    bad = [f"{p['name']} {p['version']}: {p['license']}" for p in packages if not (p["license"] and free(p["license"]))]
    if bad:
        sys.exit("terms that are not in the list:\n" + "\n".join(bad))


main()
