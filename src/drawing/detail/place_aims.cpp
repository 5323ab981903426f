#include "drawing/detail/place_aims.h"

#include <algorithm>
#include <cmath>

namespace etchback::drawing::detail {

namespace {

double area_of(const ModelPart& part, double room) {
    const Box& b = part.variants.front().bounds;
    return (b.right - b.left + 2.0 * room) * (b.bottom - b.top + 2.0 * room);
}

}  // namespace

int x_astride(const Model& model, int part, int variant, double line) {
    const Box& body = model.parts[static_cast<std::size_t>(part)]
                          .variants[static_cast<std::size_t>(variant)]
                          .body;
    return static_cast<int>(std::lround(line - (body.left + body.right) / 2.0));
}

Aims aims_of(const Model& model, double room) {
    constexpr double air = 1.6;  // drawn area over the area of all parts
    constexpr double aspect = 1.7;
    std::vector<double> areas(static_cast<std::size_t>(model.zones), 0.0);
    double total = 0.0;
    for (const ModelPart& part : model.parts) {
        const double area = air * area_of(part, room);
        total += area;
        if (part.astride < 0) {
            areas[static_cast<std::size_t>(part.zone)] += area;
        } else {
            areas[static_cast<std::size_t>(part.astride)] += area / 2.0;
            areas[static_cast<std::size_t>(part.astride) + 1] += area / 2.0;
        }
    }
    const double height = std::max(12.0, std::sqrt(total / aspect));
    Aims aims;
    aims.at.resize(model.parts.size());
    double left = 0.0;
    for (int zone = 0; zone < model.zones; ++zone) {
        const double width = std::max(10.0, areas[static_cast<std::size_t>(zone)] / height);
        std::vector<std::size_t> inside;
        double sum = 0.0;
        for (std::size_t i = 0; i < model.parts.size(); ++i) {
            if (model.parts[i].astride < 0 && model.parts[i].zone == zone) {
                inside.push_back(i);
                sum += area_of(model.parts[i], room);
            }
        }
        std::stable_sort(inside.begin(), inside.end(), [&](std::size_t a, std::size_t b) {
            const ModelPart& pa = model.parts[a];
            const ModelPart& pb = model.parts[b];
            return pa.rim != pb.rim ? pa.rim < pb.rim : pa.flow < pb.flow;
        });
        double passed = 0.0;
        for (const std::size_t i : inside) {
            const double area = area_of(model.parts[i], room);
            aims.at[i] = {static_cast<int>(std::lround(left + (passed + area / 2.0) / sum * width)),
                          static_cast<int>(std::lround((1.0 - model.parts[i].height) * height))};
            passed += area;
        }
        left += width;
        if (zone + 1 < model.zones) {
            aims.lines.push_back(std::round(left));
        }
    }
    for (std::size_t i = 0; i < model.parts.size(); ++i) {
        if (model.parts[i].astride >= 0) {
            const double line = aims.lines[static_cast<std::size_t>(model.parts[i].astride)];
            aims.at[i] = {x_astride(model, static_cast<int>(i), 0, line),
                          static_cast<int>(std::lround((1.0 - model.parts[i].height) * height))};
        }
    }
    return aims;
}

}  // namespace etchback::drawing::detail
