// Circuits for tests of models, written as short as a bench note, made into networks and run.
#pragma once

#include <gtest/gtest.h>

#include <memory>
#include <stdexcept>

#include "behaviour/models.h"
#include "behaviour/simulation.h"
#include "circuit/build.h"
#include "dossier/read.h"

namespace etchback::behaviour::test {

namespace make = circuit::test;

inline const Tables& tables() {
    static const auto loaded = load_tables(ETCHBACK_SOURCE_DIR "/data");
    if (!loaded) {
        throw std::runtime_error(base::to_string(loaded.errors().front()));
    }
    return **loaded;
}

inline const std::vector<parts::RegisteredType>& types() {
    static const auto loaded =
        parts::load_types(ETCHBACK_SOURCE_DIR "/data/parts/types.toml", make::catalogue());
    if (!loaded) {
        throw std::runtime_error(base::to_string(loaded.errors().front()));
    }
    return *loaded;
}

inline std::string all_of(const base::Errors& errors) {
    std::string out;
    for (const base::Error& error : errors) {
        out += base::to_string(error) + "\n";
    }
    return out;
}

// A dossier of parts and notes, without a file.
inline dossier::Dossier bench(std::vector<dossier::Part> parts,
                              std::vector<dossier::NetNote> notes = {}) {
    dossier::Dossier out;
    out.parts = std::move(parts);
    out.nets = std::move(notes);
    return out;
}

inline base::Result<Model> try_model(const dossier::Dossier& dossier,
                                     const ModelOptions& options = {}) {
    const auto circuit = circuit::build(dossier, make::catalogue());
    return model_of(circuit, dossier, types(), tables(), options);
}

inline Model model(const dossier::Dossier& dossier, const ModelOptions& options = {}) {
    auto made = try_model(dossier, options);
    if (!made) {
        throw std::runtime_error(all_of(made.errors()));
    }
    return *std::move(made);
}

// A model under way.
class Bench {
public:
    explicit Bench(Model made) : model(std::move(made)), simulation_(started(model)) {}
    Bench(const dossier::Dossier& dossier, const ModelOptions& options = {})
        : Bench(test::model(dossier, options)) {}

    Bench& to(double t_s) {
        const Ending ending = simulation_.run_to(t_s);
        EXPECT_EQ(ending, Ending::reached) << all_of(simulation_.trouble());
        return *this;
    }
    double volts(const std::string& net) const {
        return simulation_.value(model.net_volts.at(net));
    }
    double amps(const std::string& part) const {
        return simulation_.value(model.part_amps.at(part));
    }
    Simulation& simulation() { return simulation_; }
    bool told(std::string_view key) const {
        for (const StoryLine& line : simulation_.story()) {
            if (line.key == key) {
                return true;
            }
        }
        return false;
    }

    Model model;

private:
    static Simulation started(Model& made) {
        auto machines = std::move(made.machines);
        auto out = Simulation::make(made.network, std::move(machines));
        if (!out) {
            throw std::runtime_error(all_of(out.errors()));
        }
        return *std::move(out);
    }

    Simulation simulation_;
};

// Parts as people write them.
inline dossier::Part supply(const std::string& name,
                            const std::string& volts,
                            const std::string& plus,
                            const std::string& minus) {
    auto out = make::part(name, "DC supply", volts, {{"+", plus}, {"-", minus}});
    out.properties["resistance"].value = base::Quantity::of(1e-3, base::Unit::ohm);
    return out;
}
inline dossier::Part with(dossier::Part part,
                          const std::string& key,
                          double value,
                          base::Unit unit = base::Unit::none) {
    part.properties[key].value = base::Quantity::of(value, unit);
    return part;
}

inline dossier::Dossier read_dossier(const std::string& folder) {
    const auto read =
        dossier::read_folder(std::string(ETCHBACK_SOURCE_DIR "/") + folder, make::catalogue());
    if (!read) {
        throw std::runtime_error(all_of(read.errors()));
    }
    return *read;
}

}  // namespace etchback::behaviour::test
