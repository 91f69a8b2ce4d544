#!/usr/bin/env bash
# Holds the service to its OpenAPI document as strictly as schemathesis can: bash tests/contract/full.sh [URL [OPTION ...]]
# Without a URL it starts the service over the shipped rules for itself. Options go to schemathesis and overrule those
# below; for instance --max-examples 2000.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."

bin="$(dirname "${PYTHON:-.venv/bin/python}")"
url="${1:-}"
shift || true

if [ -z "$url" ]; then
    port="${PORT:-8019}"
    url="http://127.0.0.1:$port"
    "$bin/python" -m uvicorn api.app:create --factory --port "$port" --no-server-header --no-access-log \
        --log-level warning &
    server=$!
    trap 'kill "$server"' EXIT
    for _ in $(seq 100); do
        "$bin/python" -c "import urllib.request as u; u.urlopen('$url/readyz')" 2>/dev/null && break
        sleep 0.2
    done
fi

# Only this file of settings is read, so that nothing elsewhere can loosen a check.
"$bin/schemathesis" --config-file tests/contract/settings.toml run "$url/openapi.json" \
    --phases examples,coverage,fuzzing,stateful --mode all --checks all \
    --max-examples 300 --continue-on-failure --generation-deterministic \
    --generation-allow-x00 true --max-response-time 1 --request-timeout 5 \
    --warnings off --no-color "$@"
