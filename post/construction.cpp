#include "post/construction.h"

#include <stdexcept>

namespace polepitch {

const ConstructionPoint& point_of(const Construction& construction, const std::string& name) {
  for (const ConstructionPoint& point : construction.points)
    if (point.name == name) return point;
  throw std::logic_error("construction " + construction.name + ": no point " + name);
}

}  // namespace polepitch
