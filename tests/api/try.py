"""Tries the API from outside: `try.py PROGRAM`, with the packages of requirements.txt.

It starts the real program with the demonstration, signs in as the coordinator by the link that is printed, makes a token
as a person would, and then, by two tools that know nothing of our sources:

1. openapi-spec-validator reads the document that the server serves;
2. schemathesis asks every operation of it, with good input and bad, in the order the document links them: a bounded run
   from a fixed start, every check that it has. Nothing may be found.

The last line counts: "N passed, N failed".
"""

import json
import os
import re
import subprocess
import sys
import tempfile
import urllib.parse
import urllib.request
import uuid

HERE = os.path.dirname(os.path.abspath(__file__))
START = 20260314  # where every run begins
CASES = 12  # of each operation in fuzzing and in stateful tries; coverage adds its own


class NoRedirect(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_):
        return None


def ask(method, url, body=None, **headers):
    """Status, headers and text; a refusal is an answer too."""
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    request = urllib.request.Request(url, data=body, method=method, headers=named)
    opener = urllib.request.build_opener(NoRedirect)
    try:
        with opener.open(request, timeout=60) as answer:
            return answer.status, answer.headers, answer.read().decode()
    except urllib.error.HTTPError as answer:
        return answer.code, answer.headers, answer.read().decode()


def fresh():
    """A UUID of version 7 (RFC 9562, section 5.7)."""
    import time

    number = (int(time.time() * 1000) << 80) | int.from_bytes(os.urandom(10), "big")
    number = number & ~(0xF << 76) | (7 << 76)
    number = number & ~(0x3 << 62) | (2 << 62)
    return str(uuid.UUID(int=number))


def token(base, link):
    """Signs in by the link that is good once, and makes a token of the coordinator's."""
    origin = base.rstrip("/")
    _, headers, page = ask("GET", link)
    action = re.search(r'<form[^>]*action="([^"]*)"', page)
    target = urllib.parse.urljoin(link, action.group(1) if action else "")
    form = {"Content_Type": "application/x-www-form-urlencoded", "Origin": origin}
    fields = dict(re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)"', page))
    status, headers, text = ask("POST", target, urllib.parse.urlencode(fields).encode(), **form)
    cookie = (headers.get("Set-Cookie") or "").split(";")[0]
    assert status == 303 and cookie, f"the link did not sign in: {status} {text[:300]}"
    wanted = json.dumps({"id": fresh(), "name": "Tried from outside", "role": "coordinator"}).encode()
    status, _, text = ask(
        "POST", f"{origin}/api/v1/tokens", wanted, Content_Type="application/json", Cookie=cookie, Origin=origin
    )
    assert status == 201, f"no token was made: {status} {text}"
    return json.loads(text)["secret"]


def token_of(base, secret):
    """Another token, made by the first."""
    wanted = json.dumps({"id": fresh(), "name": "Tried and revoked", "role": "coordinator"}).encode()
    headers = {"Content_Type": "application/json", "Authorization": f"Bearer {secret}"}
    status, _, text = ask("POST", f"{base}api/v1/tokens", wanted, **headers)
    assert status == 201, f"no token was made: {status} {text}"
    return json.loads(text)["secret"]


def with_examples(document, base, secret):
    """The document with what is there as examples: ids, entity tags and bodies that can be kept."""

    def read(path):
        status, headers, text = ask("GET", base.rstrip("/") + path, Authorization=f"Bearer {secret}")
        return (json.loads(text), headers.get("ETag")) if status == 200 else (None, None)

    def resolved(schema):
        return document["components"]["schemas"][schema["$ref"].rsplit("/", 1)[1]] if "$ref" in schema else schema

    for path, operations in document["paths"].items():
        here = path
        if "{id}" in path:
            listed, _ = read(path.split("/{id}")[0] + "?limit=1")
            if not listed or not listed["items"]:
                continue
            here = path.replace("{id}", listed["items"][0]["id"])
        kept, tag = read(here)
        for operation in operations.values():
            for parameter in operation["parameters"]:
                if parameter["name"] == "id":
                    parameter["example"] = here.split("/")[4]
                elif parameter["name"] == "If-Match":
                    parameter["example"] = tag
            for content in operation.get("requestBody", {}).get("content", {}).values():
                members = resolved(content["schema"]).get("properties", {})
                if kept and "items" not in kept and members:
                    content["example"] = {name: kept[name] for name in members if name in kept}
    site = read("/api/v1/sites?limit=1")[0]["items"][0]["id"]
    note = {"id": fresh(), "kind": "note", "at": "2026-01-01T00:00:00Z", "site": site, "fields": {"text": "Tried."}}
    entries = document["paths"]["/api/v1/entries"]["post"]["requestBody"]["content"]["application/json"]
    entries["example"] = note
    return document


def lasts(base, secret):
    """A run whose token was gone half way would have tried nothing after that."""
    good = ask("GET", f"{base}api/v1/me", Authorization=f"Bearer {secret}")[0] == 200
    if not good:
        print("the token did not last through the run")
    return good


def count(good, passed, failed):
    return passed + bool(good), failed + (not good)


def main(program):
    log = tempfile.TemporaryFile("w+")
    asked = [program, "serve", "--demo", "--port", "0", "--a-minute", "0", "--log", "warn"]
    server = subprocess.Popen(asked, stdout=subprocess.PIPE, stderr=log, text=True)
    passed = failed = 0
    try:
        base = server.stdout.readline().strip()
        link = next(line.strip() for line in server.stdout if "/enter/" in line)
        secret = token(base, link)
        _, _, text = ask("GET", f"{base}api/v1/openapi.json")
        document = json.loads(text)

        from openapi_spec_validator import OpenAPIV31SpecValidator

        faults = list(OpenAPIV31SpecValidator(document).iter_errors())
        for fault in faults:
            print("document:", fault.json_path, fault.message)
        passed, failed = passed + (not faults), failed + bool(faults)

        # Tokens are revoked in a run of their own, whose token may be among them.
        runs = [("--exclude-operation-id", "revokeToken"), ("--include-tag", "tokens")]
        others = [token_of(base, secret) for _ in runs[1:]]
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "openapi.json")
            with open(path, "w", encoding="utf-8") as file:
                json.dump(with_examples(document, base, secret), file)
            for bearer, which in zip([secret, *others], runs):
                command = [
                    os.path.join(os.path.dirname(sys.executable), "schemathesis"),
                    "--config-file", os.path.join(HERE, "schemathesis.toml"),
                    "run", path, "--url", base.rstrip("/"),
                    "--phases", "examples,coverage,fuzzing,stateful", "--checks", "all",
                    "--seed", str(START), "--max-examples", os.environ.get("CASES", str(CASES)),
                    "--header", f"Authorization: Bearer {bearer}",
                    *which, *sys.argv[2:],
                ]
                found = subprocess.run(command, cwd=folder, env={**os.environ, "NO_COLOR": "1"}).returncode
                passed, failed = passed + (found == 0), failed + (found != 0)
                if bearer == secret:
                    passed, failed = count(lasts(base, secret), passed, failed)
        still = ask("GET", f"{base}healthz")[0] == 200 and server.poll() is None
        passed, failed = passed + still, failed + (not still)
    finally:
        server.terminate()
        server.wait(timeout=30)
        log.seek(0)
        lines = [line for line in log if "ERROR" in line]
        for line in lines[:20]:
            print("the server's log:", line.rstrip())
    passed, failed = passed + (not lines), failed + bool(lines)
    print(f"{passed} passed, {failed} failed")
    return failed


if __name__ == "__main__":
    sys.exit(1 if main(sys.argv[1]) else 0)
