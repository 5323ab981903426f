// For the tests of the page and of the browser.
#pragma once

namespace etchback::report {

// A small dossier that means harm: every name and text tries to leave its place in the page. It is
// invented.
inline const char* const hostile = R"toml(
format = 1
[item]
name = "</title><script>alert('item')</script> & \"Lamp\" {{name}} {{{css}}}"
author = "<img src=x onerror=alert(1)>"
licence = "\"><script>alert(2)</script>"
story = "<!-- <script>alert(3)</script> ]]> </style>"
[supply]
kind = "ac"
voltage = "230 V"
[parts."</script><b>R1&"]
kind = "resistor"
value = "1k"
marking = "<i>102</i>"
note = "{{{script}}} <b>"
pins = { 1 = "L\"><u>", 2 = "__proto__" }
[parts.J1]
kind = "mains"
pins = { L = "L\"><u>", N = "__proto__" }
[nets."L\"><u>"]
note = "'\"><script>alert(4)</script>"
[[photos]]
file = "\"><script>alert(5)</script>.jpg"
side = "bottom"
)toml";

}  // namespace etchback::report
