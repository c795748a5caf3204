#!/usr/bin/env bash
# Opens the demo's report in a browser without a screen: keeps the picture and the prints under target/report-look, and
# checks that the page runs nothing and fetches nothing.
set -euo pipefail
cd "$(dirname "$0")/.."
page=demo/no-lift.html
out=target/report-look
profile=$(mktemp -d)
trap 'rm -rf "$profile"' EXIT
mkdir -p "$out"
browse() {
    timeout 120 chromium --headless --no-sandbox --disable-gpu --disable-quic --no-first-run --hide-scrollbars \
        --disable-background-networking --disable-component-update --disable-sync --user-data-dir="$profile" "$@" \
        2>>"$out/browser.log"
}
: >"$out/browser.log"

if grep -Eqi '<(script|link|img|iframe|object|embed|base)[ >]| (src|href|srcset)=|url\(|@import' "$page"; then
    echo "$page: something in it runs or is fetched" >&2
    exit 1
fi

browse --window-size=900,3000 --screenshot="$out/report.png" "file://$PWD/$page"
browse --dump-dom "file://$PWD/$page" >"$out/opened.html"
# What the browser made of it has no more in it than what was written.
if grep -qi '<script' "$out/opened.html"; then
    echo "$page: a script was made out of text" >&2
    exit 1
fi
for size in A4 Letter; do
    sed "s/@page {/@page { size: $size;/" "$page" >"$out/$size.html"
    browse --no-pdf-header-footer --print-to-pdf="$out/$size.pdf" "file://$PWD/$out/$size.html"
    head -c 5 "$out/$size.pdf" | grep -q '%PDF-'
done
test -s "$out/report.png"
echo "$out/report.png, A4.pdf, Letter.pdf"
