#include "behaviour/controllers.h"

#include <fmt/format.h>

#include <functional>
#include <utility>

#include "behaviour/detail/controller_behaviours.h"
#include "behaviour/detail/controller_boundary.h"
#include "behaviour/detail/controller_clocked.h"
#include "behaviour/detail/controller_linear.h"
#include "behaviour/detail/controller_table.h"

namespace etchback::behaviour {

namespace {

using Made = base::Result<std::unique_ptr<Machine>>;

// The machines by the word that a family's file has under `behaviour`.
const std::vector<std::pair<std::string, std::function<Made(detail::Bench&)>>>& makers() {
    static const std::vector<std::pair<std::string, std::function<Made(detail::Bench&)>>> all = {
        {"boundary flyback, on-time",
         [](detail::Bench& bench) { return detail::make_boundary_flyback(bench, true); }},
        {"boundary flyback, peak current",
         [](detail::Bench& bench) { return detail::make_boundary_flyback(bench, false); }},
        {"boundary buck", detail::make_boundary_buck},
        {"fixed-frequency flyback", detail::make_fixed_frequency_flyback},
        {"low-voltage converter", detail::make_low_voltage_converter},
        {"linear driver", detail::make_linear_driver},
        {"threshold table", detail::make_threshold_table},
    };
    return all;
}

}  // namespace

std::vector<std::string> detail::behaviours() {
    std::vector<std::string> names;
    for (const auto& [name, maker] : makers()) {
        names.push_back(name);
    }
    return names;
}

base::Result<std::unique_ptr<Machine>> make_controller(Network& network,
                                                       const Family& family,
                                                       const ControllerWiring& wiring) {
    for (const auto& [name, make] : makers()) {
        if (name == family.behaviour) {
            detail::Bench bench(network, family, wiring);
            for (const std::string& role : family.needed) {
                if (role != "return") {  // a controller always has one
                    bench.needed_pin(role);
                }
            }
            if (!bench.errors().empty()) {
                return bench.errors();
            }
            return make(bench);
        }
    }
    return base::Error{{},
                       fmt::format("no machine plays '{}', which the family '{}' asks for",
                                   family.behaviour,
                                   family.family),
                       "name one of the behaviours of docs/controllers.md"};
}

}  // namespace etchback::behaviour
