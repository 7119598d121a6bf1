"""Certificates for servers of the tests, made by the program `openssl`."""

import shutil
import ssl
import subprocess
from pathlib import Path

from tests.support.programs import missing


def certificate(folder: Path, *names: str) -> tuple[Path, Path]:
    """A certificate that vouches for itself, for these names, with its key."""
    program = shutil.which("openssl")
    if program is None:
        missing("the program openssl")
    key, made = folder / "key.pem", folder / "certificate.pem"
    also = ",".join(f"{'IP' if name[0].isdigit() else 'DNS'}:{name}" for name in names)
    command = [program or "", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2"]
    command += ["-keyout", str(key), "-out", str(made), "-subj", f"/CN={names[0]}"]
    subprocess.run(
        [*command, "-addext", f"subjectAltName={also}"], check=True, capture_output=True, timeout=60
    )
    return made, key


def context(made: Path, key: Path) -> ssl.SSLContext:
    """For a server that shows this certificate."""
    served = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    served.load_cert_chain(made, key)
    return served
