"""Asking the API as one of the cast."""

import json
from datetime import timedelta

from django.utils import timezone


def at(someone, path):
    return f"/api/v1/groups/{someone.group_id}/{path}"


def post(someone, path, body=None, **headers):
    headers = {name.replace("_", "-"): value for name, value in headers.items()}
    return someone.client().post(at(someone, path), json.dumps(body or {}), "application/json", headers=headers)


def patch(someone, path, body, **headers):
    headers = {name.replace("_", "-"): value for name, value in headers.items()}
    return someone.client().patch(at(someone, path), json.dumps(body), "application/json", headers=headers)


def get(someone, path, **parameters):
    return someone.client().get(at(someone, path), parameters)


def hand_in(someone, *mutations, sent=timedelta(0), device=None, **headers):
    """Push from the device of somebody, or under the id of another, by a clock that is off by ``sent``."""
    body = {"device": str(device or someone.device.id), "sent_at": sent_at(sent), "mutations": mutations}
    return post(someone, "sync/push", body, **headers)


def sent_at(off=timedelta(0)):
    """Return the time that it is now by a clock that is off."""
    return (timezone.now() + off).isoformat()
