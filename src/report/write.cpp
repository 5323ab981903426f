#include "base/file.h"
#include "drawing/svg.h"
#include "report/circuit_sheet.h"
#include "report/report.h"

namespace etchback::report {

base::Result<Written> write_report(const Study& study,
                                   const Data& data,
                                   const std::filesystem::path& dossier_folder,
                                   const std::filesystem::path& folder) {
    // All is made before anything is written: a failure leaves an older report as it was.
    const auto html = to_html(study, data, dossier_folder);
    if (!html) {
        return html.errors();
    }
    const auto pdf = to_pdf(study);
    if (!pdf) {
        return pdf.errors();
    }
    const std::string svg = drawing::to_svg(on_screen(drawn_circuit(study), study.circuit),
                                            study.circuit,
                                            {.title = study.dossier.item.name.value});
    std::error_code failure;
    std::filesystem::create_directories(folder, failure);
    if (failure) {
        throw base::FileError("cannot make the folder " + folder.string() + ": " +
                              failure.message());
    }
    Written written;
    const auto write = [&](const char* name, const std::string& bytes) {
        base::write_file_atomically(folder / name, bytes);
        written.files.push_back(folder / name);
    };
    write("report.html", *html);
    write("report.pdf", *pdf);
    write("report.json", to_json(study));
    write("circuit.svg", svg);
    return written;
}

}  // namespace etchback::report
