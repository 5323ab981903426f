#include "board-photographer/legends.h"

#include <algorithm>

#include "board-photographer/truth.h"

namespace etchback::photographer {

void add_legends(Layout& layout, double height_mm) {
    for (const Part& part : layout.parts) {
        const Polyline ring = body_ring(part, 0.25);
        double top = part.at.y_mm;
        for (const Point& p : ring) {
            top = std::min(top, p.y_mm);
        }
        Legend name;
        name.side = part.side;
        name.text = part.name;
        name.at = {part.at.x_mm, top - height_mm * 0.7};
        name.height_mm = height_mm;
        layout.legends.push_back(name);
        if (!ring.empty()) {
            Legend line;
            line.side = part.side;
            line.along = ring;
            line.along.push_back(ring.front());
            layout.legends.push_back(line);
        }
    }
}

}  // namespace etchback::photographer
