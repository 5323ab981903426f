#include "blocks/detail/formula.h"

#include <muParser.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <numbers>

#include "blocks/detail/formula_functions.h"

namespace etchback::blocks::detail {

namespace {

constexpr int kSamples = 255;

struct Token {
    std::string text;
    bool name = false;
};

bool begins_name(char c) {
    return std::isalpha(static_cast<unsigned char>(c)) != 0 || c == '_';
}
bool in_name(char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '.';
}

// Names (not functions) and what stands between them.
std::vector<Token> tokens(const std::string& formula) {
    std::vector<Token> all;
    for (std::size_t i = 0; i < formula.size();) {
        std::size_t end = i + 1;
        if (begins_name(formula[i])) {
            while (end < formula.size() && in_name(formula[end])) {
                ++end;
            }
            const bool function = end < formula.size() && formula[end] == '(';
            all.push_back({formula.substr(i, end - i), !function});
        } else {
            if (std::isdigit(static_cast<unsigned char>(formula[i])) != 0) {
                while (end < formula.size() &&
                       (std::isdigit(static_cast<unsigned char>(formula[end])) != 0 ||
                        formula[end] == '.' || formula[end] == 'e' ||
                        (formula[end - 1] == 'e' && formula[end] == '-'))) {
                    ++end;
                }
            }
            all.push_back({formula.substr(i, end - i), false});
        }
        i = end;
    }
    return all;
}

// muParser's names have no dots.
std::string flat(std::string name) {
    for (std::size_t at = name.find('.'); at != std::string::npos; at = name.find('.')) {
        name.replace(at, 1, "__");
    }
    return name;
}

// The k-th member of the sequence of van der Corput and Halton in a prime base.
double halton(int k, int base) {
    double f = 1.0, sum = 0.0;
    for (; k > 0; k /= base) {
        f /= base;
        sum += f * (k % base);
    }
    return sum;
}

std::string spelled(const Value& v) {
    return base::to_engineering(v.value, v.unit);
}

}  // namespace

std::vector<std::string> names_in(const std::string& formula) {
    std::vector<std::string> names;
    for (const Token& token : tokens(formula)) {
        if (token.name) {
            names.push_back(token.text);
        }
    }
    std::sort(names.begin(), names.end());
    names.erase(std::unique(names.begin(), names.end()), names.end());
    return names;
}

std::string pretty(const std::string& formula) {
    std::string out;
    for (const Token& token : tokens(formula)) {
        if (token.text == "*") {
            out += "·";
        } else if (token.text == "sqrt") {
            out += "√";
        } else if (token.text == "_pi") {
            out += "π";
        } else {
            out += token.text;
        }
    }
    return out;
}

std::optional<Evaluated> evaluate(const std::string& formula, const Values& values) {
    constexpr int primes[] = {2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37};
    const auto all = names_in(formula);
    std::vector<const Value*> used;
    std::vector<double> now;
    std::string code;
    Evaluated result;
    std::vector<std::string> names;
    for (const std::string& name : all) {
        if (name == "_pi" || name == "_e") {
            continue;
        }
        const auto known = values.find(name);
        if (known == values.end()) {
            return std::nullopt;
        }
        names.push_back(name);
        used.push_back(&known->second);
        now.push_back(known->second.value);
        result.assumed = result.assumed || known->second.assumed;
        if (!known->second.evidence.name.empty()) {
            result.evidence.push_back(known->second.evidence);
        }
    }
    for (const Token& token : tokens(formula)) {
        code += token.name ? flat(token.text) : token.text;
        const auto known = token.name ? values.find(token.text) : values.end();
        result.worked += known != values.end() ? spelled(known->second)
                         : token.text == "*"   ? " · "
                                               : pretty(token.text);
    }
    try {
        mu::Parser parser;
        parser.DefineFun("F2", mean_of_square_over);
        parser.DefineFun("boundary_pf", boundary_power_factor);
        parser.DefineFun("capacitor_input_pf", capacitor_input_power_factor);
        for (std::size_t i = 0; i < names.size(); ++i) {
            parser.DefineVar(flat(names[i]), &now[i]);
        }
        parser.SetExpr(code);
        result.value = result.low = result.high = parser.Eval();
        if (!std::isfinite(result.value)) {
            return std::nullopt;
        }
        const bool varies = std::any_of(
            used.begin(), used.end(), [](const Value* v) { return v->tolerance > 0.0; });
        if (varies) {
            std::vector<double> sample;
            double sum = 0.0, squares = 0.0;
            for (int k = 1; k <= kSamples; ++k) {
                for (std::size_t i = 0; i < used.size(); ++i) {
                    const double u = 2.0 * halton(k, primes[i % std::size(primes)]) - 1.0;
                    now[i] = used[i]->value * (1.0 + u * used[i]->tolerance);
                }
                sample.push_back(parser.Eval());
                sum += sample.back() - result.value;
                squares += (sample.back() - result.value) * (sample.back() - result.value);
            }
            std::sort(sample.begin(), sample.end());
            result.low = sample[kSamples / 20];
            result.high = sample[kSamples - 1 - kSamples / 20];
            const double mean = sum / kSamples;
            result.deviation = std::sqrt(std::max(squares / kSamples - mean * mean, 0.0));
        }
    } catch (const mu::Parser::exception_type&) {
        return std::nullopt;
    }
    return result;
}

}  // namespace etchback::blocks::detail
