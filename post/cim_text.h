// What the CIM RDF/XML files share: head, identifiers, the beginning of an object.
#pragma once

#include <string>

#include "post/circuit_model.h"

namespace polepitch {

/// XML declaration, a comment with the conventions and `remark`, and the opening element.
std::string cim_head(const CircuitModel& model, const std::string& remark);

/// The same for the same machine and class.
std::string cim_identifier(const CircuitModel& model, const std::string& type);

/// An object's opening element, identifier and name.
std::string cim_object(const CircuitModel& model, const std::string& type);

}  // namespace polepitch
