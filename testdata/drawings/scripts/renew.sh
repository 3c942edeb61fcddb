#!/bin/sh
# Renews ../browser.json: lengths, points, fills and frames as the SVG engine of
# Chromium (Debian package chromium) measures them. Run it in this folder.
set -eu
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
measured() { # what the scripts in a page write between BEGIN and END
	chromium --headless --no-sandbox --disable-gpu --window-size=1200,1200 --dump-dom "file://$1" 2>/dev/null |
		sed -n '/BEGIN/,/END/p' | sed -e 's/.*BEGIN//' -e 's/END.*//'
}
{
	sed -e '/<\/svg>$/{$d}' ../styled.svg
	echo '<script><![CDATA['
	cat styled.js
	echo ']]></script></svg>'
} > "$work/styled.svg"
measured "$work/styled.svg" > "$work/styled.json"
test -s "$work/styled.json"
sed -e '/DRAWING/{r ../nesting.svg
s/DRAWING//}' -e "/STYLED/{r $work/styled.json
s/STYLED//}" measure.html > "$work/page.html"
measured "$work/page.html" > ../browser.json.new
test -s ../browser.json.new
mv ../browser.json.new ../browser.json
