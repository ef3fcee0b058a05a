#!/usr/bin/env python3
"""An invented meter, Dunlin 3, as a driver that is a program of its own.

candelua starts it, and speaks JSON-RPC 2.0 with it: one message a line on standard input and output
(go doc ./engine/driver/process). In place of an instrument it has a number that rises.
"""
import json
import sys
import time


class Refused(Exception):
    """The instrument reports an error."""


class Dunlin:
    def __init__(self, settings):
        self.luminance = float(settings.get("luminance", 200))
        self.lid_closed = False

    def read(self, ask):
        if self.lid_closed:
            raise Refused("the lid is closed")
        began = time.monotonic()
        time.sleep(0.01)  # here a real driver would ask its instrument
        self.luminance += 0.1
        return {"Y": self.luminance, "x": 0.3127, "y": 0.329, "seconds": time.monotonic() - began}

    def dark(self, ask):
        return {}


def answer(request, meter):
    method, params = request.get("method"), request.get("params", {})
    if method == "alive":
        return {}
    if method in ("read", "dark"):
        return getattr(meter, method)(params)
    raise NotImplementedError(method)


meter = None
for line in sys.stdin:
    request = json.loads(line)
    reply = {"jsonrpc": "2.0", "id": request.get("id")}
    try:
        if request.get("method") == "open":
            meter = Dunlin(request["params"]["settings"])
            reply["result"] = {"protocol": 1, "name": "Dunlin 3", "serial": "7", "verbs": ["read", "dark"]}
        else:
            reply["result"] = answer(request, meter)
    except Refused as error:
        reply["error"] = {"code": -32000, "message": str(error)}
    except NotImplementedError as error:
        reply["error"] = {"code": -32001, "message": f"it cannot {error}"}
    print(json.dumps(reply), flush=True)
