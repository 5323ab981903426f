#include "bench-capture/write_capture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace etchback::capture {
namespace {

constexpr const char* kInvented = "Invented: a simulated circuit through a model of an instrument";

// As many places as tell the converter's steps apart.
int places_of(double step) {
    return std::clamp(static_cast<int>(std::ceil(-std::log10(step))) + 1, 0, 9);
}

std::string symbol_of(const Channel& channel) {
    return channel.unit == base::Unit::ampere ? "A" : "V";
}

std::string number(double value, int places, bool comma) {
    std::string text = fmt::format("{:.{}f}", value, places);
    if (text.find_first_not_of("-0.") == std::string::npos && text.front() == '-') {
        text.erase(0, 1);  // no minus nothing
    }
    if (comma) {
        std::replace(text.begin(), text.end(), '.', ',');
    }
    return text;
}

std::string joined_names(const Capture& capture, const char* separator, bool units) {
    std::string line;
    for (const Channel& channel : capture.channels) {
        line += separator + channel.name + (units ? " (" + symbol_of(channel) + ")" : "");
    }
    return line;
}

std::string head_of(const Capture& capture) {
    switch (capture.dialect) {
        case Dialect::settings:
            return fmt::format("Note,{}\nSample Interval,{:.9e}\nRecord Length,{}\n{}\n",
                               kInvented,
                               1.0 / capture.rate_hz,
                               static_cast<long long>(capture.span_s * capture.rate_hz + 0.5),
                               joined_names(capture, ",", true).substr(1));
        case Dialect::spreadsheet:
            return "Time (s)" + joined_names(capture, ";", true) + "\n";
        case Dialect::logger:
            return fmt::format("# {}\nTime (ms){}\n", kInvented, joined_names(capture, "\t", true));
        case Dialect::scope:
            break;
    }
    std::string units = "s";
    for (const Channel& channel : capture.channels) {
        units += "," + symbol_of(channel);
    }
    return fmt::format("\"{}\"\nTime{}\n{}\n", kInvented, joined_names(capture, ",", false), units);
}

}  // namespace

std::string text_of(const Capture& capture, const Taken& taken) {
    const bool comma = capture.dialect == Dialect::spreadsheet;
    const char* separator = comma ? ";" : capture.dialect == Dialect::logger ? "\t" : ",";
    const bool timed = capture.dialect != Dialect::settings;
    const double dt = (capture.dialect == Dialect::logger ? 1e3 : 1.0) / capture.rate_hz;
    const int time_places = places_of(dt) + 1;
    std::string text = head_of(capture);
    for (std::size_t k = 0; k < taken.samples.front().size(); ++k) {
        std::string line = timed ? number(dt * static_cast<double>(k), time_places, comma) : "";
        for (std::size_t c = 0; c < taken.samples.size(); ++c) {
            line += (line.empty() ? "" : separator) +
                    number(taken.samples[c][k], places_of(taken.step[c]), comma);
        }
        text += line + "\n";
    }
    return text;
}

}  // namespace etchback::capture
