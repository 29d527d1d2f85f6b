"""Asking the API as one of the cast."""

import json


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
