#!/usr/bin/env python3
"""Holds `codes decode` against can-j1939 and cantools over random codes.

    pip install can-j1939 cantools
    .ci/codes-live.py path/to/loomwalk [messages] [seed]

Transported messages are cut into frames, sent and put together again by can-j1939 itself; single frames are
encoded by cantools from a description of DM1 written for this. Exits 1 at the first difference.
"""

import json
import logging
import random
import subprocess
import sys

import cantools
import j1939
from j1939.j1939_21 import J1939_21

# can-j1939 says on its log that it leaves older conversion methods alone; that is expected here.
logging.disable(logging.ERROR)

# DM1 in one frame (SAE J1939-73): lamps, flashing, one code in today's layout.
DESCRIPTION = """VERSION ""
NS_ :
BS_:
BU_: ECU
BO_ 2566834858 DM1: 8 ECU
 SG_ protect : 0|2@1+ (1,0) [0|3] "" ECU
 SG_ amber_warning : 2|2@1+ (1,0) [0|3] "" ECU
 SG_ red_stop : 4|2@1+ (1,0) [0|3] "" ECU
 SG_ mil : 6|2@1+ (1,0) [0|3] "" ECU
 SG_ protect_flash : 8|2@1+ (1,0) [0|3] "" ECU
 SG_ amber_warning_flash : 10|2@1+ (1,0) [0|3] "" ECU
 SG_ red_stop_flash : 12|2@1+ (1,0) [0|3] "" ECU
 SG_ mil_flash : 14|2@1+ (1,0) [0|3] "" ECU
 SG_ spn_low : 16|16@1+ (1,0) [0|65535] "" ECU
 SG_ fmi : 32|5@1+ (1,0) [0|31] "" ECU
 SG_ spn_high : 37|3@1+ (1,0) [0|7] "" ECU
 SG_ count : 40|7@1+ (1,0) [0|127] "" ECU
 SG_ cm : 47|1@1+ (1,0) [0|1] "" ECU
 SG_ padding : 48|16@1+ (1,0) [0|65535] "" ECU
"""
LAMPS = ["mil", "red_stop", "amber_warning", "protect"]
LAMP_WORDS = ["off", "on", "reserved", "not available"]
FLASH_WORDS = ["slow", "fast", "reserved", "steady"]


def decoded(program, frames):
    text = "\n".join(frames)
    done = subprocess.run(
        [program, "codes", "decode", "-", "--format", "json"], input=text, capture_output=True, text=True
    )
    if done.returncode != 0:
        sys.exit(f"refused with {done.returncode}: {done.stderr}\n{text}")
    return json.loads(done.stdout)


def same(what, ours, theirs, frames):
    if ours != theirs:
        sys.exit(f"{what} differ: ours {ours}, theirs {theirs}\n" + "\n".join(frames))


def recorded(can_id, data):
    return f"{can_id:08X}#" + bytes(data).hex().upper()


def expected(code):
    """What can-j1939 makes of a code, in the fields that this program prints; an SPN only where it is settled."""
    spn = None if code.cm else code.spn
    count = None if code.oc == 127 else code.oc
    return {"spn": spn, "fmi": code.fmi, "count": count, "cm": code.cm}


def printed(message):
    return [{name: code[name] for name in ("spn", "fmi", "count", "cm")} for code in message["dtcs"]]


def single(program, chance, description):
    dm1 = description.get_message_by_name("DM1")
    signals = {s.name: chance.randrange(1 << s.length) for s in dm1.signals if s.name != "padding"}
    signals["padding"] = 0xFFFF
    signals["spn_low"] = chance.randrange(1, 1 << 16)
    data = dm1.encode(signals)
    frames = [recorded(0x18FECA00 | chance.randrange(254), data)]
    message = decoded(program, frames)
    for lamp in LAMPS:
        same(lamp, message["lamps"][lamp], LAMP_WORDS[signals[lamp]], frames)
        same(f"{lamp} flash", message["flash"][lamp], FLASH_WORDS[signals[f"{lamp}_flash"]], frames)
    count = None if signals["count"] == 127 else signals["count"]
    spn = None if signals["cm"] else signals["spn_high"] << 16 | signals["spn_low"]
    wanted = {"spn": spn, "fmi": signals["fmi"], "count": count, "cm": signals["cm"]}
    if data[2:6] != b"\xff\xff\xff\xff":
        same("codes", printed(message), [wanted], frames)


def engine(send, receive):
    return J1939_21(send, lambda: None, receive, 1, None, None, lambda address: True)


def transported(program, chance):
    payload = [chance.randrange(256), chance.randrange(256)]
    for _ in range(chance.randrange(2, 60)):
        spn, fmi, oc = chance.randrange(1, 1 << 19), chance.randrange(32), chance.randrange(127)
        code = j1939.DTC(spn=spn, fmi=fmi, oc=oc).dtc | chance.randrange(8) // 7 << 31
        payload += list(code.to_bytes(4, "little"))
    sent, together = [], []
    sender = engine(lambda can_id, extended, data: sent.append((can_id, list(data))), lambda *_: None)
    sender.send_pgn(0, 0xFE, 0xCA, 6, chance.randrange(254), list(payload), 0, None)
    for _ in range(300):
        sender.async_job_thread(float("inf"))
    receiver = engine(lambda *_: None, lambda *message: together.append(message[-1]))
    for can_id, data in sent:
        receiver.notify(can_id, bytearray(data), 0.0)
    frames = [recorded(can_id, data) for can_id, data in sent]
    whole = bytes(together[0])
    same("payloads", whole, bytes(payload), frames)
    codes = [int.from_bytes(whole[at : at + 4], "little") for at in range(2, len(whole), 4)]
    wanted = [expected(j1939.DTC(dtc=code)) for code in codes if code != 0xFFFFFFFF]
    same("codes", printed(decoded(program, frames)), wanted, frames)


def main():
    program = sys.argv[1]
    messages = int(sys.argv[2]) if len(sys.argv) > 2 else 500
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else random.randrange(1 << 32)
    print(f"seed {seed}")
    chance = random.Random(seed)
    description = cantools.database.load_string(DESCRIPTION, database_format="dbc")
    for _ in range(messages):
        single(program, chance, description)
        transported(program, chance)
    print(f"{messages} single frames and {messages} transported messages agree")


if __name__ == "__main__":
    main()
