#!/usr/bin/env bash
# Makes the fonts in this folder anew from the packages they come from. Needs npm, tar and pyftsubset
# (pip install fonttools brotli). Run it here; nothing else of the project needs it.
set -euo pipefail
cd "$(dirname "$0")"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

fetch() { # package name, folder to unpack into
    mkdir "$work/$2"
    tar -xzf "$work/$(cd "$work" && npm pack --silent "$1")" -C "$work/$2" --strip-components=1
}
fetch @expo-google-fonts/atkinson-hyperlegible-next atkinson
fetch @expo-google-fonts/inter inter

# Western and central European letters, digits, punctuation, fractions, degrees, tolerances, comparisons.
text='U+0020-007E,U+00A0-017F,U+2010-2015,U+2018-201E,U+2020-2022,U+2026,U+2030,U+2039,U+203A,U+2044,U+2070-2079'
text+=',U+2080-2089,U+20AC,U+0394,U+2206,U+03BC,U+2212,U+2215,U+2248,U+2260,U+2264,U+2265,U+221E'
# What the text face lacks: feet and inches, eighths, arrows, shapes that carry a verdict, signs for buttons.
signs='U+2032,U+2033,U+215B-215E,U+2190-2199,U+21A9,U+21AA,U+21BA,U+21BB,U+2318,U+23CE,U+25A0,U+25A1,U+25B2,U+25B3'
signs+=',U+25B6,U+25B7,U+25BC,U+25BD,U+25C0,U+25C1,U+25C6,U+25C7,U+25CB,U+25CF,U+2600,U+2605,U+26A0,U+2713,U+2717'

subset() { # source, code points, name of the result
    # No hinting: egui and browsers draw from outlines. Kerning and marks stay, the other features go unused.
    pyftsubset "$1" --unicodes="$2" --layout-features=kern,mark,mkmk,ccmp,locl --no-hinting --output-file="$3.ttf"
    pyftsubset "$1" --unicodes="$2" --layout-features=kern,mark,mkmk,ccmp,locl --no-hinting \
        --flavor=woff2 --output-file="$3.woff2"
}
subset "$work/atkinson/400Regular/AtkinsonHyperlegibleNext_400Regular.ttf" "$text" AtkinsonHyperlegibleNext-Regular
subset "$work/atkinson/700Bold/AtkinsonHyperlegibleNext_700Bold.ttf" "$text" AtkinsonHyperlegibleNext-Bold
subset "$work/inter/500Medium/Inter_500Medium.ttf" "$signs" InterSigns-Medium
rm -f InterSigns-Medium.woff2 # the page around the viewer uses no such sign
cp "$work/atkinson/LICENSE_FONT" OFL-AtkinsonHyperlegibleNext.txt
cp "$work/inter/LICENSE_FONT" OFL-Inter.txt
