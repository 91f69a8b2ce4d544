import hashlib

import pytest

from api.resource import resource_of


def test_the_entity_tag_is_the_digest_of_the_bytes():
    resource = resource_of({"a": 1})

    assert resource.body == b'{"a":1}'
    assert resource.etag == f'"{hashlib.sha256(resource.body).hexdigest()}"'


PAGES = ["/v1/rule-book", "/v1/rules", "/v1/rules/cautions/mind_the_cold", "/v1/sources", "/v1/vocabulary", "/version"]


@pytest.mark.parametrize("path", PAGES)
def test_what_the_caller_has_already_is_not_sent_again(ask, path):
    first = ask("GET", path)

    again = ask("GET", path, headers={"If-None-Match": first.headers["etag"]})

    assert again.status_code == 304
    assert again.content == b""
    assert again.headers["etag"] == first.headers["etag"]
    assert again.headers["cache-control"] == "no-cache"


@pytest.mark.parametrize("written", ["*", "W/{}", '"other", {}', '{} , W/"other"'])
def test_an_entity_tag_is_found_in_any_list(ask, written):
    etag = ask("GET", "/v1/rules").headers["etag"]

    assert ask("GET", "/v1/rules", headers={"If-None-Match": written.format(etag)}).status_code == 304


@pytest.mark.parametrize("written", ["", '"other"', "0", '"*"'])
def test_another_entity_tag_gets_the_whole_answer(ask, written):
    assert ask("GET", "/v1/rules", headers={"If-None-Match": written}).status_code == 200


def test_head_knows_the_entity_tag_and_304_too(ask):
    etag = ask("HEAD", "/v1/rules").headers["etag"]

    assert etag == ask("GET", "/v1/rules").headers["etag"]
    assert ask("HEAD", "/v1/rules", headers={"If-None-Match": etag}).status_code == 304
