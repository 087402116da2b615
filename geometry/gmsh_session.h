// Gmsh's global state: one user at a time, always finalised. Its header stays in two files, mesh and solid_model.
#pragma once

#include <mutex>

namespace polepitch {

class GmshSession {
 public:
  GmshSession();
  ~GmshSession();
  GmshSession(const GmshSession&) = delete;
  GmshSession& operator=(const GmshSession&) = delete;

 private:
  std::lock_guard<std::mutex> lock_;
};

}  // namespace polepitch
