"""What a command left behind: files in a folder, one JSON object without values that are no numbers."""

import json


def written(folder):
    return {path.name for path in folder.iterdir() if not path.name.startswith(".")}


def finite(answer):
    def refuse(word):
        raise AssertionError(word)

    return json.loads(answer, parse_constant=refuse)
