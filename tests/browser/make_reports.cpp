// browser_reports SOURCE_FOLDER OUT: a report of each example and of a hostile dossier, for the
// browser's tests.
#include <fstream>
#include <iostream>

#include "base/file.h"
#include "dossier/read.h"
#include "report/behaviour_outcome.h"
#include "report/hostile_dossier.h"
#include "report/report.h"
#include "report/study.h"

namespace {

namespace fs = std::filesystem;
using namespace etchback;

void print(const base::Errors& errors) {
    for (const base::Error& error : errors) {
        std::cerr << base::to_string(error) << '\n';
    }
}

bool make(const base::Result<dossier::Dossier>& dossier,
          const report::Data& data,
          const fs::path& from,
          const fs::path& to,
          const std::optional<report::Behaviour>& behaviour = std::nullopt) {
    if (!dossier) {
        print(dossier.errors());
        return false;
    }
    report::Study study = report::derive(*dossier, data);
    study.behaviour = behaviour;
    const auto written = report::write_report(study, data, from, to);
    if (!written) {
        print(written.errors());
        return false;
    }
    return true;
}

// Many parts on one net, and names that are too long: what makes pages wider than the screen.
std::string crowded() {
    std::string toml = "format = 1\n[item]\nname = \"" + std::string(80, 'W') + "\"\n";
    for (int i = 1; i <= 60; ++i) {
        toml += "[parts.R" + std::to_string(i) +
                "]\nkind = \"resistor\"\nvalue = \"1k\"\npins = { 1 = \"GND\", 2 = \"NET" +
                std::to_string(i / 2) + "\" }\n";
    }
    const std::string lengthy(70, 'X');
    return toml + "[parts." + lengthy + "]\nmarking = \"" + lengthy + "\"\nbody = \"" + lengthy +
           "\"\npins = { 1 = \"GND\", 2 = \"" + lengthy + "\" }\n";
}

bool make_all(const fs::path& source, const fs::path& out) {
    const auto data = report::load_data(source / "data");
    if (!data) {
        print(data.errors());
        return false;
    }
    bool done = true;
    for (const char* name : {"henhouse-lamp", "sewing-adapter", "seedling-driver"}) {
        const fs::path folder = source / "examples" / name;
        done =
            make(dossier::read_folder(folder, data->catalogue), *data, folder, out / name) && done;
    }
    // With invented waveforms, so that what the page does with them does not wait for an engine.
    const fs::path driver = source / "examples" / "seedling-driver";
    done = make(dossier::read_folder(driver, data->catalogue),
                *data,
                driver,
                out / "waveforms",
                report::invented_behaviour()) &&
           done;
    const fs::path docs = source / "docs";
    done = make(dossier::read_folder(docs / "everything.toml", data->catalogue),
                *data,
                docs,
                out / "everything") &&
           done;
    done = make(dossier::read(crowded(), "crowded.toml", data->catalogue),
                *data,
                docs,
                out / "crowded") &&
           done;
    return make(dossier::read(report::hostile, "hostile.toml", data->catalogue),
                *data,
                docs,
                out / "hostile") &&
           done;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 3) {
        std::cerr << "usage: browser_reports SOURCE_FOLDER OUT\n";
        return 2;
    }
    return make_all(argv[1], argv[2]) ? 0 : 1;
}
