#!/bin/sh
# Renews ../browser.json: lengths, points, fills and frames as the SVG engine of
# Chromium (Debian package chromium) measures them. Run it in this folder.
set -eu
page=$(mktemp --suffix=.html)
trap 'rm -f "$page"' EXIT
sed -e '/DRAWING/{r ../nesting.svg
s/DRAWING//}' measure.html > "$page"
chromium --headless --no-sandbox --disable-gpu --window-size=1200,1200 --dump-dom "file://$page" 2>/dev/null |
	sed -n '/BEGIN/,/END/p' | sed -e 's/.*BEGIN//' -e 's/END.*//' > ../browser.json.new
test -s ../browser.json.new
mv ../browser.json.new ../browser.json
