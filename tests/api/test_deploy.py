"""What is offered to operators names what the service really has. No engine and no cluster is asked."""

import json
import re
from pathlib import Path

import pytest
import yaml

from api.running.supervisor import KILL_AFTER_S
from api.settings import PREFIX, WHOLE, Settings
from api.worker import counts

ROOT = Path(__file__).parents[2]
DEPLOY = ROOT / "api" / "deploy"
PATHS = json.loads((ROOT / "openapi" / "openapi.json").read_text())["paths"]
SETTINGS = {f"{PREFIX}{name.upper()}": name for name in Settings.__dataclass_fields__}
TAG = re.compile(r"[a-z0-9./-]+:\d+\.\d+\.\d+(-[a-z0-9]+)*")


@pytest.fixture(scope="module")
def containerfile():
    text = (DEPLOY / "Containerfile").read_text().replace("\\\n", " ")
    return [line.split(maxsplit=1) for line in text.splitlines() if line and not line.startswith("#")]


@pytest.fixture(scope="module")
def compose():
    return yaml.safe_load((DEPLOY / "compose.yaml").read_text())


@pytest.fixture(scope="module")
def objects():
    return {one["kind"]: one for one in yaml.safe_load_all((DEPLOY / "kubernetes.yaml").read_text())}


@pytest.mark.parametrize("file", ["Containerfile", "compose.yaml", "kubernetes.yaml", "alerts.yaml"])
def test_what_was_not_run_says_so(file):
    assert re.search(r"[Nn]ot (run|loaded into a Prometheus) here", (DEPLOY / file).read_text())


def test_the_image_is_built_in_stages_from_pinned_bases(containerfile):
    bases = [what for word, what in containerfile if word == "FROM"]

    assert len(bases) == 2
    assert all(TAG.fullmatch(one.split()[0]) for one in bases)


def test_the_image_runs_as_nobody_and_knows_its_health(containerfile):
    last = [word for word, _ in containerfile].index("FROM", 1)
    final = dict(containerfile[last:])

    assert final["USER"] == "10001:10001"
    assert re.search(r"127\.0\.0\.1:8000(/\w+)", final["HEALTHCHECK"])[1] in PATHS
    assert json.loads(final["ENTRYPOINT"]) == ["thawline"]
    assert json.loads(final["CMD"])[0] == "serve"


def test_the_image_copies_what_is_there_and_installs_by_the_locks(containerfile):
    copied = [what for word, what in containerfile if word == "COPY" and not what.startswith("--from")]
    named = [name for what in copied for name in what.split()[:-1]]

    assert {"decision", "rules", "api", "pyproject.toml", ".ci/requirements.lock"} <= set(named)
    assert all((ROOT / name).exists() for name in named)
    assert sum("--require-hashes" in what for word, what in containerfile if word == "RUN") == 1


def test_compose_runs_two_replicas_that_can_write_nowhere(compose):
    replicas = [one for name, one in compose["services"].items() if name.startswith("thawline-")]

    assert len(replicas) == 2
    for one in replicas:
        assert one["read_only"] is True
        assert one["cap_drop"] == ["ALL"]
        assert not one["user"].startswith("0")
        assert one["tmpfs"][0].startswith("/run/thawline:")
        assert int(one["stop_grace_period"].removesuffix("s")) > Settings().drain_limit_s + KILL_AFTER_S
        assert (DEPLOY / one["build"]["context"] / one["build"]["dockerfile"]).is_file()
    assert TAG.fullmatch(compose["services"]["balancer"]["image"])
    assert compose["services"]["balancer"]["ports"] == ["127.0.0.1:8080:8080"]


def test_the_balancer_asks_an_address_that_is_there_for_every_replica(compose):
    written = compose["configs"]["balancer"]["content"]

    assert re.search(r"httpchk GET (\S+)", written)[1] in PATHS
    assert set(re.findall(r"server \w (\S+):8000", written)) == {"thawline-a", "thawline-b"}
    assert "deny" in written
    assert "/metrics" in PATHS


def test_kubernetes_probes_addresses_that_are_there(objects):
    container = objects["Deployment"]["spec"]["template"]["spec"]["containers"][0]

    assert container["readinessProbe"]["httpGet"]["path"] == "/readyz"
    assert container["livenessProbe"]["httpGet"]["path"] == "/livez"  # never what may rightly be refused
    for probe in ("startupProbe", "readinessProbe", "livenessProbe"):
        assert container[probe]["httpGet"]["path"] in PATHS
        assert container[probe]["httpGet"]["port"] == container["ports"][0]["name"]


def test_kubernetes_runs_two_replicas_as_nobody_over_a_read_only_file_system(objects):
    pod = objects["Deployment"]["spec"]["template"]["spec"]
    container = pod["containers"][0]

    assert objects["Deployment"]["spec"]["replicas"] == 2
    assert pod["securityContext"]["runAsNonRoot"] is True
    assert pod["securityContext"]["runAsUser"] > 0
    assert container["securityContext"]["readOnlyRootFilesystem"] is True
    assert container["securityContext"]["allowPrivilegeEscalation"] is False
    assert container["securityContext"]["capabilities"] == {"drop": ["ALL"]}
    assert {one["name"] for one in container["volumeMounts"]} == {one["name"] for one in pod["volumes"]}
    assert objects["NetworkPolicy"]["spec"]["egress"] == []


def test_kubernetes_waits_longer_than_the_service_drains(objects):
    pod = objects["Deployment"]["spec"]["template"]["spec"]
    sleep_s = int(pod["containers"][0]["lifecycle"]["preStop"]["exec"]["command"][1])

    assert pod["terminationGracePeriodSeconds"] > sleep_s + Settings().drain_limit_s + KILL_AFTER_S


def test_every_object_means_the_same_pods(objects):
    labels = objects["Deployment"]["spec"]["template"]["metadata"]["labels"]

    assert objects["Service"]["spec"]["selector"] == labels
    assert objects["PodDisruptionBudget"]["spec"]["selector"]["matchLabels"] == labels
    assert objects["NetworkPolicy"]["spec"]["podSelector"]["matchLabels"] == labels


def test_every_setting_that_is_named_is_one():
    for file in DEPLOY.iterdir():
        assert set(re.findall(rf"{PREFIX}[A-Z_]+", file.read_text())) <= SETTINGS.keys(), file


def test_every_alert_asks_for_something_that_is_counted():
    counted = {f"{one._name}{'_total' if one._type == 'counter' else ''}" for one in counts.COUNTED}
    counted |= {"thawline_request_seconds_bucket", "thawline_workers_replaced_total", "thawline_rules_refused"}
    rules = [
        rule for group in yaml.safe_load((DEPLOY / "alerts.yaml").read_text())["groups"] for rule in group["rules"]
    ]

    for rule in rules:
        named = set(re.findall(r"thawline_\w+", rule["expr"]))
        assert named
        assert named <= counted, rule["alert"]


def test_every_setting_stands_in_the_table_with_its_default_and_its_range():
    page = (ROOT / "api" / "RUNNING.md").read_text()
    rows = {cells[1].strip(" `"): cells for line in page.splitlines() if (cells := line.split("|"))[1:2]}

    for variable, name in SETTINGS.items():
        assert variable in rows, variable
        default = getattr(Settings(), name)
        if name in WHOLE:
            least, most = WHOLE[name]
            assert rows[variable][2].strip() == f"{default:,}", variable
            assert rows[variable][3].strip() == f"{least:,} to {most:,}", variable
    assert {one for one in rows if one.startswith(PREFIX)} == SETTINGS.keys()


def test_every_alert_is_explained_on_the_page():
    page = (ROOT / "api" / "RUNNING.md").read_text()

    for name in re.findall(r"alert: (\w+)", (DEPLOY / "alerts.yaml").read_text()):
        assert f"`{name}`" in page
