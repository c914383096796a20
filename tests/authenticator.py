"""A passkey in software: makes and shows WebAuthn credentials (ES256, no attestation).

Written after W3C Web Authentication level 2, 6.1 (authenticator data), 6.5.1 (attested
credential data), 8.7 (attestation "none"); keys as COSE, RFC 9053, 7.1.1.
"""

import base64
import hashlib
import json
import secrets
import struct

import cbor2
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec

PRESENT, ATTESTED = 0x01, 0x40


def text(content: bytes) -> str:
    return base64.urlsafe_b64encode(content).decode().rstrip("=")


class Authenticator:
    """One key, which counts how often it signed."""

    def __init__(self, origin="http://testserver"):
        self.origin = origin
        self.key = ec.generate_private_key(ec.SECP256R1())
        self.credential = secrets.token_bytes(32)
        self.signed = 0

    def make(self, options):
        """Return what navigator.credentials.create() would give, as JSON."""
        numbers = self.key.public_key().public_numbers()
        public = {
            1: 2,
            3: -7,
            -1: 1,
            -2: numbers.x.to_bytes(32, "big"),
            -3: numbers.y.to_bytes(32, "big"),
        }
        attested = (
            bytes(16)
            + struct.pack(">H", len(self.credential))
            + self.credential
            + cbor2.dumps(public)
        )
        known = self._known(options["rp"]["id"], PRESENT | ATTESTED) + attested
        made = cbor2.dumps({"fmt": "none", "attStmt": {}, "authData": known})
        client = self._client("webauthn.create", options)
        return self._credential(
            {"clientDataJSON": text(client), "attestationObject": text(made)}
        )

    def show(self, options):
        """Return what navigator.credentials.get() would give, as JSON."""
        self.signed += 1
        known = self._known(options["rpId"], PRESENT)
        client = self._client("webauthn.get", options)
        signature = self.key.sign(
            known + hashlib.sha256(client).digest(), ec.ECDSA(hashes.SHA256())
        )
        return self._credential(
            {
                "clientDataJSON": text(client),
                "authenticatorData": text(known),
                "signature": text(signature),
            }
        )

    def _credential(self, response):
        name = text(self.credential)
        return {"id": name, "rawId": name, "type": "public-key", "response": response}

    def _known(self, host, flags):
        return (
            hashlib.sha256(host.encode()).digest()
            + bytes([flags])
            + struct.pack(">I", self.signed)
        )

    def _client(self, kind, options):
        said = {
            "type": kind,
            "challenge": options["challenge"],
            "origin": self.origin,
            "crossOrigin": False,
        }
        return json.dumps(said).encode()
