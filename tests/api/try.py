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

        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "openapi.json")
            with open(path, "w", encoding="utf-8") as file:
                file.write(text)
            command = [
                os.path.join(os.path.dirname(sys.executable), "schemathesis"),
                "--config-file", os.path.join(HERE, "schemathesis.toml"),
                "run", path, "--url", base.rstrip("/"),
                "--phases", "examples,coverage,fuzzing,stateful", "--checks", "all",
                "--seed", str(START), "--max-examples", os.environ.get("CASES", str(CASES)),
                "--header", f"Authorization: Bearer {secret}",
                *sys.argv[2:],
            ]
            found = subprocess.run(command, cwd=folder, env={**os.environ, "NO_COLOR": "1"}).returncode
        passed, failed = passed + (found == 0), failed + (found != 0)
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
