#include "bench/detail/csv_shape.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <limits>

#include "base/text.h"

namespace etchback::bench::detail {
namespace {

using base::Error;
using base::Unit;

constexpr std::size_t kTail = 200;  // lines of the beginning by which a shape is judged

struct Line {
    std::string_view text;
    std::size_t at = 0;  // byte
};

std::vector<Line> lines_of(std::string_view text, bool whole) {
    std::vector<Line> lines;
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t end = text.find_first_of("\r\n", at);
        if (end == std::string_view::npos) {
            if (whole) {
                lines.push_back({text.substr(at), at});
            }
            break;
        }
        lines.push_back({text.substr(at, end - at), at});
        const bool both = text[end] == '\r' && end + 1 < text.size() && text[end + 1] == '\n';
        at = end + (both ? 2 : 1);
    }
    return lines;
}

std::string_view unquoted(std::string_view text) {
    text = base::trimmed(text);
    if (text.size() >= 2 && text.front() == '"' && text.back() == '"') {
        text = base::trimmed(text.substr(1, text.size() - 2));
    }
    return text;
}

// How well a delimiter and a decimal mark explain the lines.
struct Guess {
    char delimiter = ',';
    bool decimal_comma = false;
    std::vector<std::size_t> numeric;  // fields that hold numbers in most rows
    std::size_t fields = 0;
    std::size_t first = 0;  // line
    std::size_t rows = 0;   // of that shape from there on
};

bool is_row(const std::vector<std::string_view>& fields, const Guess& guess) {
    bool any = false;
    for (const std::size_t column : guess.numeric) {
        if (column >= fields.size()) {
            return false;
        }
        double value = 0.0;
        const Field field = parse_field(fields[column], guess.decimal_comma, value);
        if (field == Field::words) {
            return false;
        }
        any = any || field == Field::number;
    }
    return any;
}

Guess guess_with(const std::vector<Line>& lines, char delimiter, bool decimal_comma) {
    Guess guess{delimiter, decimal_comma, {}, 0, 0, 0};
    const std::size_t from = lines.size() > kTail ? lines.size() - kTail : lines.size() / 2;
    std::vector<std::size_t> numbers, widths;
    std::size_t seen = 0;
    for (std::size_t i = from; i < lines.size(); ++i) {
        if (base::trimmed(lines[i].text).empty()) {
            continue;
        }
        const auto fields = split(lines[i].text, delimiter);
        ++seen;
        if (fields.size() > numbers.size()) {
            numbers.resize(fields.size());
            widths.resize(fields.size() + 1);
        }
        ++widths[fields.size()];
        for (std::size_t k = 0; k < fields.size(); ++k) {
            double value = 0.0;
            numbers[k] += parse_field(fields[k], decimal_comma, value) == Field::number;
        }
    }
    if (seen == 0) {
        return guess;
    }
    guess.fields =
        static_cast<std::size_t>(std::max_element(widths.begin(), widths.end()) - widths.begin());
    for (std::size_t k = 0; k < numbers.size(); ++k) {
        if (2 * numbers[k] > seen) {
            guess.numeric.push_back(k);
        }
    }
    if (guess.numeric.empty()) {
        return guess;
    }
    guess.first = lines.size();
    for (std::size_t i = lines.size(); i-- > 0;) {
        if (base::trimmed(lines[i].text).empty()) {
            continue;
        }
        if (!is_row(split(lines[i].text, delimiter), guess)) {
            if (guess.rows > 0 && i + 1 < from) {
                break;
            }
            continue;
        }
        guess.first = i;
        ++guess.rows;
    }
    return guess;
}

std::optional<Guess> best_guess(const std::vector<Line>& lines) {
    constexpr std::array<std::pair<char, bool>, 7> kWays = {{{'\t', false},
                                                             {'\t', true},
                                                             {';', false},
                                                             {';', true},
                                                             {',', false},
                                                             {' ', false},
                                                             {' ', true}}};
    std::optional<Guess> best;
    for (const auto& [delimiter, comma] : kWays) {
        Guess guess = guess_with(lines, delimiter, comma);
        if (guess.numeric.empty() || guess.rows < 2) {
            continue;
        }
        const auto merit = [](const Guess& g) { return g.rows * g.numeric.size(); };
        if (!best || merit(guess) > merit(*best)) {
            best = std::move(guess);
        }
    }
    return best;
}

// "ms" -> second, 1e-3. Units of samples and of time.
struct UnitWord {
    Unit unit = Unit::none;
    double scale = 1.0;
};
std::optional<UnitWord> unit_word(std::string_view text) {
    std::string word(base::trimmed(text));
    for (const char* mark : {"(", ")", "[", "]"}) {
        if (const std::size_t at = word.find(mark); at != std::string::npos) {
            word.erase(at, 1);
        }
    }
    constexpr std::array<std::pair<std::string_view, Unit>, 20> kUnits = {
        {{"V", Unit::volt},        {"A", Unit::ampere},      {"s", Unit::second},
         {"W", Unit::watt},        {"lx", Unit::lux},        {"lux", Unit::lux},
         {"lm", Unit::lumen},      {"Hz", Unit::hertz},      {"%", Unit::percent},
         {"Volt", Unit::volt},     {"Volts", Unit::volt},    {"volt", Unit::volt},
         {"volts", Unit::volt},    {"Amps", Unit::ampere},   {"amps", Unit::ampere},
         {"Ampere", Unit::ampere}, {"sec", Unit::second},    {"Second", Unit::second},
         {"second", Unit::second}, {"seconds", Unit::second}}};
    constexpr std::array<std::pair<std::string_view, double>, 9> kPrefixes = {{{"", 1.0},
                                                                               {"k", 1e3},
                                                                               {"M", 1e6},
                                                                               {"m", 1e-3},
                                                                               {"u", 1e-6},
                                                                               {"µ", 1e-6},
                                                                               {"\u03bc", 1e-6},
                                                                               {"n", 1e-9},
                                                                               {"p", 1e-12}}};
    for (const auto& [prefix, scale] : kPrefixes) {
        for (const auto& [name, unit] : kUnits) {
            if (word == std::string(prefix) + std::string(name)) {
                return UnitWord{unit, scale};
            }
        }
    }
    if (word == "\xb5s") {  // the same in Latin-1
        return UnitWord{Unit::second, 1e-6};
    }
    return std::nullopt;
}

// "CH1 (mV)", "CH1 [mV]", "Current/A", "Time_ms", "t,s": the name and its unit.
struct Heading {
    std::string name;
    std::optional<UnitWord> unit;
};
Heading heading_of(std::string_view text) {
    const std::string_view whole = unquoted(text);
    for (const char mark : {'(', '[', '/', '_', ',', ' '}) {
        const std::size_t at = whole.rfind(mark);
        if (at == std::string_view::npos || at == 0) {
            continue;
        }
        if (const auto unit = unit_word(whole.substr(at + 1))) {
            return {std::string(base::trimmed(whole.substr(0, at))), unit};
        }
    }
    if (const auto unit = unit_word(whole);
        unit && whole.size() > 1 && unit->unit == Unit::second) {
        return {"time", unit};
    }
    return {std::string(whole), std::nullopt};
}

bool says_time(const std::string& name) {
    const std::string word = base::lowered(name);
    return word == "t" || word == "x" || word == "x-axis" || word == "second" ||
           word == "seconds" || word == "source" || word.rfind("time", 0) == 0 ||
           word.rfind("zeit", 0) == 0 || word.rfind("temps", 0) == 0 || word == "in s";
}

bool says_index(const std::string& name) {
    const std::string word = base::lowered(name);
    return word == "n" || word == "#" || word == "no" || word == "no." || word == "nr" ||
           word == "index" || word.rfind("sample", 0) == 0 || word == "point" || word == "points";
}

// A number with an optional unit, as notes have it: "2.000000e-06", "500 kHz", "2 us".
std::optional<double> note_value(std::string_view text, bool decimal_comma) {
    text = unquoted(text);
    double value = 0.0;
    if (parse_field(text, decimal_comma, value) == Field::number) {
        return value;
    }
    std::string plain(text);
    if (const std::size_t rate = plain.find("Sa/s"); rate != std::string::npos) {
        plain.replace(rate, 4, "Hz");
    }
    if (const std::size_t rate = plain.find("S/s"); rate != std::string::npos) {
        plain.replace(rate, 3, "Hz");
    }
    if (const auto quantity = base::parse_quantity(plain); quantity && (*quantity).exact()) {
        return (*quantity).value;
    }
    return std::nullopt;
}

struct Notes {
    std::optional<double> dt_s, start_s;
    std::vector<double> factor;  // one for all channels, or one each
};

void read_note(std::string_view key_text,
               std::vector<std::string_view> values,
               bool comma,
               Notes& notes) {
    std::string key = base::lowered(std::string(unquoted(key_text)));
    while (!key.empty() && (key.back() == ':' || key.back() == '=' || key.back() == ' ')) {
        key.pop_back();
    }
    while (!key.empty() && (key.front() == '#' || key.front() == '%' || key.front() == ' ')) {
        key.erase(0, 1);
    }
    std::vector<double> numbers;
    for (const std::string_view value : values) {
        if (const auto number = note_value(value, comma)) {
            numbers.push_back(*number);
        }
    }
    if (numbers.empty()) {
        return;
    }
    const auto is = [&](std::initializer_list<const char*> words) {
        return std::find(words.begin(), words.end(), key) != words.end();
    };
    if (is({"sample interval",
            "sampling interval",
            "sample period",
            "sampling period",
            "increment",
            "x increment",
            "xincrement",
            "xincr",
            "dt",
            "delta t",
            "interval",
            "abtastintervall"})) {
        notes.dt_s = numbers.front();
    } else if (is({"sample rate",
                   "sampling rate",
                   "samplerate",
                   "sampling frequency",
                   "sample frequency",
                   "fs",
                   "rate",
                   "abtastrate"}) &&
               numbers.front() > 0.0) {
        notes.dt_s = 1.0 / numbers.front();
    } else if (is({"x origin", "xorigin", "xzero", "start time", "t0", "start"})) {
        notes.start_s = numbers.front();
    } else if (is({"scale factor", "scale", "factor", "multiply by"})) {
        notes.factor = numbers;
    }
}

void read_notes(std::string_view line, const Guess& guess, Notes& notes) {
    // A table of one column tells nothing about the delimiter of the notes above it.
    for (const char delimiter : {guess.delimiter, ',', ';', '\t'}) {
        const auto fields = split(line, delimiter);
        if (fields.size() >= 2 && !unquoted(fields[0]).empty()) {
            read_note(fields[0], {fields.begin() + 1, fields.end()}, guess.decimal_comma, notes);
            break;
        }
    }
    const std::size_t at = line.find_first_of(":=");
    if (at != std::string_view::npos) {
        read_note(line.substr(0, at), {line.substr(at + 1)}, guess.decimal_comma, notes);
    }
}

bool has_words(const std::vector<std::string_view>& fields) {
    double value = 0.0;
    return std::any_of(fields.begin(), fields.end(), [&](std::string_view field) {
        return parse_field(field, false, value) == Field::words;
    });
}

// Values of a column in the first rows.
std::vector<double> column_of(const std::vector<Line>& lines, const Guess& guess, std::size_t k) {
    std::vector<double> values;
    for (std::size_t i = guess.first; i < lines.size() && values.size() < 400; ++i) {
        const auto fields = split(lines[i].text, guess.delimiter);
        double value = 0.0;
        if (k < fields.size() &&
            parse_field(fields[k], guess.decimal_comma, value) == Field::number) {
            values.push_back(value);
        }
    }
    return values;
}

// Rises by nearly the same step from row to row.
bool steps_evenly(const std::vector<double>& values) {
    if (values.size() < 3 || !(values.back() > values.front())) {
        return false;
    }
    const double step = (values.back() - values.front()) / static_cast<double>(values.size() - 1);
    for (std::size_t i = 1; i < values.size(); ++i) {
        if (std::abs(values[i] - values[i - 1] - step) > 0.3 * step) {
            return false;
        }
    }
    return true;
}

Error refusal(const std::string& file, int line, std::string what, std::string todo) {
    return {{file, line, 0}, std::move(what), std::move(todo)};
}

std::optional<Error> not_text(std::string_view text, const std::string& file) {
    if (text.empty()) {
        return refusal(file, 0, "the file is empty", "save the waveform again");
    }
    if (text.substr(0, 2) == "\xff\xfe" || text.substr(0, 2) == "\xfe\xff") {
        return refusal(file, 1, "the text is UTF-16", "save it as UTF-8 or plain text");
    }
    if (text.substr(0, 2) == "PK") {
        return refusal(file,
                       1,
                       "this is a zip archive or a spreadsheet, no table of text",
                       "save the sheet as CSV");
    }
    if (text.find('\0') != std::string_view::npos) {
        return refusal(file,
                       1,
                       "the file holds bytes that are no text",
                       "export the waveform as CSV, not in the scope's own format");
    }
    return std::nullopt;
}

}  // namespace

std::vector<std::string_view> split(std::string_view line, char delimiter) {
    std::vector<std::string_view> fields;
    if (delimiter == ' ') {
        std::size_t at = 0;
        while ((at = line.find_first_not_of(" \t", at)) != std::string_view::npos) {
            const std::size_t end = std::min(line.find_first_of(" \t", at), line.size());
            fields.push_back(line.substr(at, end - at));
            at = end;
        }
        return fields;
    }
    bool quoted = false;
    std::size_t from = 0;
    for (std::size_t i = 0; i < line.size(); ++i) {
        if (line[i] == '"') {
            quoted = !quoted;
        } else if (line[i] == delimiter && !quoted) {
            fields.push_back(line.substr(from, i - from));
            from = i + 1;
        }
    }
    fields.push_back(line.substr(from));
    return fields;
}

Field parse_field(std::string_view text, bool decimal_comma, double& value) {
    text = unquoted(text);
    std::string copy;
    value = std::numeric_limits<double>::quiet_NaN();
    if (text.empty()) {
        return Field::missing;
    }
    const char c = text.front();
    if ((c >= '0' && c <= '9') || c == '-' || c == '+' || c == '.' || c == ',') {
        if (decimal_comma) {
            copy.assign(text);
            std::replace(copy.begin(), copy.end(), ',', '.');
            text = copy;
        }
        if (text.front() == '+') {
            text.remove_prefix(1);
        }
        double number = 0.0;
        const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
        if (error == std::errc() && end == text.data() + text.size() && std::isfinite(number)) {
            value = number;
            return Field::number;
        }
    }
    if (text.find_first_not_of("-*?") == std::string_view::npos) {
        return Field::missing;
    }
    std::string word = base::lowered(std::string(text));
    if (word.front() == '-' || word.front() == '+') {
        word.erase(0, 1);
    }
    if (word == "nan" || word == "n/a" || word == "na" || word == "null") {
        return Field::missing;
    }
    if (word == "inf" || word == "infinity" || word == "ol" || word == "overflow" ||
        word == "clipped" || word == "\xe2\x88\x9e") {
        return Field::over_range;
    }
    return Field::words;
}

base::Result<CsvShape> shape_of(std::string_view text, bool whole, const std::string& file) {
    if (const auto error = not_text(text, file)) {
        return *error;
    }
    std::size_t mark = text.substr(0, 3) == "\xef\xbb\xbf" ? 3 : 0;
    std::vector<Line> lines = lines_of(text.substr(mark), whole);
    const auto guess = best_guess(lines);
    if (!guess) {
        return refusal(file,
                       1,
                       "there are no rows of numbers",
                       "export the samples as a table: a column of times and one for each channel");
    }
    CsvShape shape;
    shape.delimiter = guess->delimiter;
    shape.decimal_comma = guess->decimal_comma;
    shape.skip_bytes = mark + lines[guess->first].at;
    shape.first_line = static_cast<int>(guess->first) + 1;
    shape.fields = guess->fields;

    Notes notes;
    std::vector<std::string_view> names, units;
    for (std::size_t i = 0; i < std::min(lines.size(), guess->first + 60); ++i) {
        const auto fields = split(lines[i].text, guess->delimiter);
        if (i >= guess->first && (guess->numeric.front() == 0 || unquoted(fields[0]).empty())) {
            continue;  // a row of samples with no note before it
        }
        read_notes(lines[i].text, *guess, notes);
    }
    for (std::size_t i = guess->first; i-- > 0;) {
        std::string_view line = base::trimmed(lines[i].text);
        while (!line.empty() && (line.front() == '#' || line.front() == '%')) {
            line = base::trimmed(line.substr(1));
        }
        if (line.empty()) {
            continue;
        }
        const auto fields = split(line, guess->delimiter);
        if (fields.size() <= guess->numeric.back() || !has_words(fields)) {
            if (guess->delimiter == ',' && fields.size() * 2 == guess->fields &&
                has_words(fields)) {
                return refusal(file,
                               shape.first_line,
                               "the comma seems to be both separator and decimal mark",
                               "export with semicolons or tabs, or with decimal points");
            }
            break;
        }
        std::size_t unit_words = 0, filled = 0;
        for (const std::size_t k : guess->numeric) {
            const std::string_view word = unquoted(fields[k]);
            filled += !word.empty();
            unit_words += unit_word(word).has_value();
        }
        if (filled > 0 && unit_words == filled && units.empty()) {
            units = fields;
            continue;
        }
        names = fields;
        break;
    }

    std::vector<std::size_t> columns = guess->numeric;
    const auto heading = [&](std::size_t k) {
        Heading h = k < names.size() ? heading_of(names[k]) : Heading{};
        if (k < units.size()) {
            if (const auto unit = unit_word(unquoted(units[k]))) {
                h.unit = unit;
            }
        }
        return h;
    };
    if (columns.size() > 1 && says_index(heading(columns.front()).name)) {
        columns.erase(columns.begin());
    }
    const Heading first = heading(columns.front());
    const bool named_time =
        says_time(first.name) || (first.unit && first.unit->unit == Unit::second);
    if (columns.size() > 1 || named_time) {
        const std::vector<double> values = column_of(lines, *guess, columns.front());
        const bool even = steps_evenly(values);
        if (named_time || (even && first.name.empty())) {
            shape.time = columns.front();
            columns.erase(columns.begin());
            if (first.unit && first.unit->unit == Unit::second) {
                shape.time_scale = first.unit->scale;
            }
        }
    }
    if (columns.empty()) {
        return refusal(file,
                       shape.first_line,
                       "there is a column of times and nothing else",
                       "export the samples, too");
    }
    for (std::size_t n = 0; n < columns.size(); ++n) {
        const Heading h = heading(columns[n]);
        ChannelHead channel;
        channel.name = h.name.empty() ? fmt::format("column {}", columns[n] + 1) : h.name;
        if (h.unit) {
            channel.unit = h.unit->unit;
            channel.scale = h.unit->scale;
        }
        if (!notes.factor.empty()) {
            channel.scale *= notes.factor[notes.factor.size() > n ? n : notes.factor.size() - 1];
        }
        shape.channels.push_back(std::move(channel));
    }
    shape.wanted = std::move(columns);
    shape.dt_s = notes.dt_s;
    shape.start_s = notes.start_s;
    const char* delimiter = shape.delimiter == '\t'  ? "tabs"
                            : shape.delimiter == ' ' ? "spaces"
                            : shape.delimiter == ';' ? "semicolons"
                                                     : "commas";
    shape.how.push_back(fmt::format("Columns apart by {}, decimal {}; samples from line {}.",
                                    delimiter,
                                    shape.decimal_comma ? "comma" : "point",
                                    shape.first_line));
    return shape;
}

}  // namespace etchback::bench::detail
